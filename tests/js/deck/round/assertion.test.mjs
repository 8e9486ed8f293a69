import assert from 'node:assert/strict';
import { test } from 'node:test';
import { assertion, hiddenSentence, openSentences, sightSentence } from '../../../../static/js/deck/round/assertion.js';
import { emptyRound, workOf } from '../../../../static/js/deck/round/round_state.js';

const work = (change = {}) => ({ ...workOf(emptyRound('survey', { mode: 'normal', cell: 'C17' }), 'C17', 'normal'), ...change });
const box = (width, height) => ({ type: 'Polygon', coordinates: [[[0, 0], [width, 0], [width, height], [0, height], [0, 0]]] });
const state = (change = {}) => assertion({ cell: 'C17', mode: 'normal', work: work({ sight: 'touch' }), names: ['paint loss', 'plaster loss'], missed: [], drawn: [], notFound: [], ...change }).sentences;

test('with nothing drawn the cell says that none was seen, without exception', () => {
  assert.equal(state()[0], 'Looked for these two in normal light: paint loss, plaster loss; none seen.');
});

test('with something drawn the cell excepts what is drawn and names it', () => {
  const sentences = state({ drawn: ['C17-1 paint loss'] });

  assert.match(sentences[0], /none seen except those drawn\.$/u);
  assert.ok(sentences.includes('Drawn: C17-1 paint loss.'));
});

test('what was not looked for is said', () => {
  assert.ok(state({ missed: ['dust'] }).includes('Not looked for: dust.'));
});

test('what was not found is named', () => {
  assert.ok(state({ notFound: ['C17-3'] }).includes('Drawn in the last survey and not found: C17-3.'));
});

test('a survey without a search list in this light asserts a look only', () => {
  assert.match(state({ names: [] })[0], /looked at only/u);
});

test('within touch is said only where the whole cell is within touch', () => {
  assert.equal(sightSentence(work({ sight: 'touch' })), 'Within touch.');
  assert.match(sightSentence(work({ sight: 'touch', touch: box(24, 6) })), /1.sq.ft of the cell/u);
  assert.equal(sightSentence(work({ sight: 'seen' })), 'Seen, not within touch.');
});

test('hidden parts carry their size and cause', () => {
  // source: scenario.md: deck 2's boards hide a quarter of each cell in rows D and E, 6 in of 24 in: 144 sq in = 1 sq ft.
  assert.match(hiddenSentence(work({ hidden: [{ geometry: box(24, 6), cause: 'boards of deck 2' }] })), /^Hidden: 1.sq.ft behind boards of deck 2\.$/u);
});

test('an old outline that could not be seen is named with what hides it', () => {
  assert.equal(hiddenSentence(work({ hidden: [{ geometry: box(2, 2), cause: 'glare', item: 'id' }] }), () => 'L77'), 'Hidden: L77 behind glare.');
});

test('what is open is listed before anything is asserted', () => {
  assert.deepEqual(openSentences({ unanswered: [{ item: 'C17-1' }], closer: [{ item: 'C17-2' }] }), ['1 not answered yet: C17-1.', 'To be looked at more closely: C17-2.']);
  assert.deepEqual(openSentences({ unanswered: [], closer: [] }), []);
  assert.deepEqual(openSentences({ unanswered: [], closer: [], underPen: true }), ['An outline is under the pen and not put down.']);
});
