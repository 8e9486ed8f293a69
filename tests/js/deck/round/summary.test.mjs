import assert from 'node:assert/strict';
import { test } from 'node:test';
import { lampChoices, lookOverText, lookedSentence } from '../../../../static/js/deck/round/lamps.js';
import { DAILY_CHECKS, CHECK_STATES } from '../../../../static/js/deck/round/safety.js';
import { sessionSummary } from '../../../../static/js/deck/round/summary.js';

test('the summary names cells left open and cells not examined', () => {
  const states = { E01: 'done', F01: 'not-examined', G01: 'begun' };

  const lines = sessionSummary({ cells: ['E01', 'F01', 'G01'], modes: ['normal', 'raking'], stateOf: (label) => states[label], worked: (_, mode) => mode === 'normal', answered: {} });

  assert.deepEqual(lines, ['In normal light: 1 cell done (E01), 1 not examined (F01); still open: G01.']);
});

test('answers are counted by kind', () => {
  const answered = { one: { answer: 'same' }, two: { answer: 'same' }, three: { answer: 'worse' } };

  const lines = sessionSummary({ cells: [], modes: ['normal'], stateOf: () => 'due', worked: () => false, answered });

  assert.equal(lines[1], 'Outlines of the last survey answered: 2 same, 1 worse.');
});

test('raking light is looked over with lamps off, diffuse, and from the other side', () => {
  // source: practice.md section 11. Common practice, no source beyond it.
  assert.deepEqual(lookOverText('raking', 'raking from the right').map(({ key }) => key), ['off', 'diffuse', 'left']);
  assert.deepEqual(lookOverText('normal', 'diffuse').map(({ key }) => key), ['off']);
});

test('every light offers a lamp', () => {
  for (const mode of ['normal', 'raking', 'uv', 'infrared', 'percussion', 'loupe', 'reading']) assert.ok(lampChoices(mode).length > 0);
});

test('the daily check asks what the record takes, and nothing else', () => {
  // source: survey/watch/bodies.py, CHECKED and CHECK_STATES.
  assert.deepEqual(DAILY_CHECKS.map(({ what }) => what), ['scaffold-tag', 'seals', 'trays', 'drips', 'filters', 'guards', 'lights']);
  assert.deepEqual(CHECK_STATES.map(({ value }) => value), ['in-order', 'not-in-order', 'not-checked']);
});

test('the session keeps what was looked over before a bay was judged, and what was not', () => {
  assert.equal(lookedSentence({ bay: 'E01 to G04', mode: 'raking', setting: 'raking from the right', done: ['off'] }), 'Bay E01 to G04, raking from the right: looked over first (whole bay, lamps off), not (diffuse light; lamp on the left).');
  assert.equal(lookedSentence({ bay: 'E01 to G04', mode: 'normal', setting: 'diffuse', done: [] }), 'Bay E01 to G04, diffuse: nothing looked over first.');
});
