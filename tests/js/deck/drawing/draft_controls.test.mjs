import assert from 'node:assert/strict';
import { test } from 'node:test';
import { Draft } from '../../../../static/js/wall/draft.js';
import { canBeShaped, draftControls, draftSentence } from '../../../../static/js/deck/drawing/draft_controls.js';

const square = [[0, 0], [10, 0], [10, 10], [0, 10]];
const state = { freehand: false, penSeen: false, cell: 'C17' };
const screen = { pen: {}, shapes: false, statements: { saysMore: false }, deck: { store: {}, plate: {}, plan: {} }, backControl: () => ({ id: 'back', label: 'Back to C17', act: () => {} }) };

/** @param {any} draft @param {any} [now] */
function shown(draft, now = state) {
  const { main, others } = draftControls({ draft, state: now, screen });
  return { ids: main.map(({ id }) => id), main, others: others.map(({ id }) => id) };
}

/** @param {'area' | 'line' | 'point'} kind @param {number[][]} points */
function drawn(kind, points) {
  const draft = new Draft({ kind, stated: { term: 'x' } });
  points.forEach((point) => draft.addPoint(point));
  return draft;
}

test('undo, redo and put down keep their places while a line becomes an outline', () => {
  const draft = drawn('area', []);
  for (const point of [...square, null]) {
    const { ids } = shown(draft);
    assert.deepEqual([ids.length, ids[0], ids[1], ids[3]], [4, 'undo', 'redo', 'put-down']);
    if (point) draft.addPoint(point);
    else draft.finish();
  }
  assert.equal(shown(draft).ids[2], 'grow');
});

test('put down waits for the third point of an area and the second of a line', () => {
  const isReady = (/** @type {any} */ draft) => !shown(draft).main[3].disabled;

  assert.deepEqual([2, 3].map((count) => isReady(drawn('area', square.slice(0, count)))), [false, true]);
  assert.deepEqual([1, 2].map((count) => isReady(drawn('line', square.slice(0, count)))), [false, true]);
  assert.equal(isReady(drawn('point', [[1, 1]])), true);
});

test('before the first point the third place leads back to the cell', () => {
  assert.equal(shown(drawn('area', [])).ids[2], 'back');
});

test('once a pen was seen, letting fingers draw is offered in the place of freehand', () => {
  assert.ok(shown(drawn('area', [])).others.includes('freehand'));
  assert.ok(shown(drawn('area', []), { ...state, penSeen: true }).others.includes('fingers'));
});

test('only a finished shape with edges can be shaped', () => {
  const area = drawn('area', square);
  assert.equal(canBeShaped(area), false);
  area.finish();

  assert.equal(canBeShaped(area), true);
  assert.equal(canBeShaped(drawn('point', [[1, 1]])), false);
});

test('condition, urgency and the note are not asked of a hidden part', () => {
  const part = new Draft({ kind: 'area', purpose: 'hidden' });

  assert.equal(shown(part).others.includes('say-more'), false);
  assert.equal(shown(part).main[3].label, 'Take this part');
});

test('the sentence says what grows and how it ends', () => {
  const draft = drawn('area', square);
  draft.finish();
  draft.addNext('edge');
  assert.match(draftSentence(draft, state), /only the edge that grew/);

  draft.addPoint([10, 2]);
  draft.addPoint([14, 5]);

  assert.equal(draftSentence(draft, state), '2 points. Put down ends it.');
});
