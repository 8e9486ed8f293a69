import assert from 'node:assert/strict';
import { test } from 'node:test';
import fc from 'fast-check';
import { closeRound, emptyRound, isBegun, keptRound, openRound, stepAgain, stepBack, withStep, withTimes, withWork, workOf } from '../../../../static/js/deck/round/round_state.js';

const empty = () => emptyRound('survey', { mode: 'normal', cell: 'C17' });
const part = (item) => ({ geometry: { type: 'Point', coordinates: [1, 1] }, cause: 'glare', item });
const step = (item, answer, cell = 'C17') => ({ cell, mode: 'normal', item, answer, kept: 'tablet', acts: 0, ...(answer === 'cannot-see' ? { part: part(item) } : {}) });
const steps = fc.array(fc.record({ item: fc.constantFrom('one', 'two', 'three'), answer: fc.constantFrom('same', 'cannot-see', 'look-closer', 'not-found'), cell: fc.constantFrom('C17', 'C18') }).map(({ item, answer, cell }) => step(`${cell}-${item}`, answer, cell)), { maxLength: 120 });

/** What is answered, hidden and to be looked at, without the place in the cell. */
const answers = (round) => JSON.stringify([round.answered, ...['C17', 'C18'].map((cell) => [[...workOf(round, cell, 'normal').closer].sort(), [...workOf(round, cell, 'normal').notFound].sort(), (workOf(round, cell, 'normal').hidden ?? []).map(({ item }) => item).sort()])].map((value) => (Array.isArray(value) ? value : Object.entries(value).sort())));

/** A hidden item is not asked again, so a walk holds it once. */
const askable = (list) => list.filter(({ item, answer }, index) => !list.slice(0, index).some((before) => before.item === item && before.answer === 'cannot-see') && !(answer === 'look-closer' && list.slice(0, index).some((before) => before.item === item)));

test('an item to be looked at more closely stays asked until it is answered otherwise', () => {
  const closer = withStep(empty(), step('one', 'look-closer'));
  assert.deepEqual(workOf(closer, 'C17', 'normal').closer, ['one']);

  const answered = withStep(closer, step('one', 'same'));
  assert.deepEqual(workOf(answered, 'C17', 'normal').closer, []);
});

test('what cannot be seen becomes a hidden part and its cause stays', () => {
  const round = withStep(empty(), step('one', 'cannot-see'));

  assert.deepEqual(workOf(round, 'C17', 'normal').hidden, [part('one')]);
});

test('taking back every step ends where it began', () => {
  fc.assert(fc.property(steps, (list) => {
    const walked = askable(list);
    let round = walked.reduce(withStep, empty());
    for (let n = 0; n < walked.length; n += 1) round = stepBack(round);

    assert.equal(answers(round), answers(empty()));
  }));
});

test('a step taken back and done again changes nothing', () => {
  fc.assert(fc.property(steps, (list) => {
    const round = askable(list).reduce(withStep, empty());

    if (round.trail.length) assert.equal(answers(stepAgain(stepBack(round))), answers(round));
  }));
});

test('a hundred steps back can be taken', () => {
  let round = empty();
  for (let n = 0; n < 150; n += 1) round = withStep(round, step(`item ${n}`, 'same'));

  for (let n = 0; n < 100; n += 1) round = stepBack(round);

  assert.equal(Object.keys(round.answered).length, 50);
});

test('taking back asks the item again in its cell', () => {
  const round = stepBack(withStep(empty(), step('one', 'same')));

  assert.equal(workOf(round, 'C17', 'normal').at, 'one');
});

test('a new answer ends what could be done again', () => {
  const round = withStep(stepBack(withStep(empty(), step('one', 'same'))), step('two', 'same'));

  assert.equal(stepAgain(round), round);
});

test('a round kept on the disk comes back as it was', () => {
  const round = withStep(withWork(empty(), { cell: 'C17', mode: 'normal' }, { stage: 'compare', note: 'Under the river.' }), step('one', 'look-closer'));

  assert.deepEqual(keptRound(JSON.parse(JSON.stringify(round)), 'survey', { mode: 'raking', cell: 'A01' }), round);
});

test('what was kept of another survey or is damaged is not taken up', () => {
  assert.equal(keptRound({ version: 1, survey: 'other', cell: 'G01' }, 'survey', { mode: 'normal', cell: 'C17' }).cell, 'C17');
  assert.equal(keptRound('damaged', 'survey', { mode: 'normal', cell: 'C17' }).cell, 'C17');
});

test('a new session counts its minutes from nothing and keeps what was chosen of cells', () => {
  const at = { cell: 'C17', mode: 'normal' };
  const before = withTimes(withWork(empty(), at, { stage: 'compare', note: 'River bank.' }), at, { looking_ms: 60_000, touching_ms: 1_000 });

  const next = openRound(closeRound(before), 'next');

  assert.deepEqual(next.times, {});
  assert.equal(workOf(next, 'C17', 'normal').note, 'River bank.');
});

test('times of one cell add up light by light', () => {
  const at = { cell: 'C17', mode: 'normal' };

  const round = withTimes(withTimes(empty(), at, { looking_ms: 60_000, touching_ms: 0 }), at, { looking_ms: 30_000, touching_ms: 500 });

  assert.deepEqual(round.times, { 'C17:normal': { looking_ms: 90_000, touching_ms: 500 } });
});

test('a cell that nobody went to is not begun', () => {
  assert.equal(isBegun(empty(), 'C17', 'normal'), false);
});
