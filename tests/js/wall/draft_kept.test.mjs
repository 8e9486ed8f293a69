import assert from 'node:assert/strict';
import { test } from 'node:test';
import fc from 'fast-check';
import { Draft } from '../../../static/js/wall/draft.js';
import { baseOf, draftFrom, headOf, keptStep, timelineOf } from '../../../static/js/wall/draft_kept.js';

/** What a disk would give back: nothing but plain values survives. @param {any} draft */
function throughDisk(draft) {
  const kept = { head: headOf(draft), base: baseOf(draft), steps: timelineOf(draft).map(keptStep), done: draft.history.done.length };
  return draftFrom(JSON.parse(JSON.stringify(kept)));
}

/** Everything a person could see of a draft by undoing and redoing it. @param {any} draft */
function everyState(draft) {
  const seen = [draft.shape];
  while (draft.undo()) seen.push(draft.shape);
  while (draft.redo()) seen.push(draft.shape);
  return seen;
}

const place = fc.tuple(fc.integer({ min: 0, max: 4000 }), fc.integer({ min: 0, max: 4000 })).map(([x, y]) => [x / 16, y / 16]);
const deed = fc.oneof(
  { weight: 8, arbitrary: place.map((point) => ['addPoint', point]) },
  { weight: 2, arbitrary: fc.constant(['finish']) },
  { weight: 2, arbitrary: fc.constant(['undo']) },
  { weight: 2, arbitrary: fc.constant(['redo']) },
  { weight: 1, arbitrary: fc.constantFrom('part', 'hole', 'edge').map((role) => ['addNext', role]) },
  { weight: 1, arbitrary: fc.constant(['stopAdding']) },
  { weight: 1, arbitrary: fc.array(place, { minLength: 3, maxLength: 40 }).map((points) => ['addStroke', points, 0.25]) },
  { weight: 1, arbitrary: fc.tuple(fc.nat(4), place).map(([index, point]) => ['movePoint', [0], index, point]) },
  { weight: 1, arbitrary: fc.tuple(fc.nat(4), place).map(([index, point]) => ['insertPoint', [0], index, point]) },
  { weight: 1, arbitrary: fc.nat(4).map((index) => ['removePoint', [0], index]) },
  { weight: 1, arbitrary: fc.constant(['forgetLast']) },
);

test('whatever was drawn comes back with every step back and forth', () => {
  fc.assert(fc.property(fc.constantFrom('area', 'line', 'point'), fc.array(deed, { maxLength: 60 }), (kind, deeds) => {
    const draft = new Draft({ kind, stated: { term: 'flaking', note: 'below the beam' } });
    for (const [name, ...parameters] of deeds) draft[name](...parameters);

    const back = throughDisk(draft);

    assert.deepEqual(back.shape, draft.shape);
    assert.deepEqual(back.stated, draft.stated);
    assert.deepEqual(everyState(back), everyState(draft));
  }), { numRuns: 3000 });
});

test('a copy of an outline that nobody changed yet comes back as it is', () => {
  const geometry = { type: 'Polygon', coordinates: [[[0, 0], [4, 0], [4, 4], [0, 0]]] };
  const draft = new Draft({ kind: 'area', geometry, identity: { objectId: 'o' } });
  draft.addNext('edge');

  const back = throughDisk(draft);

  assert.deepEqual(back.geometry, geometry);
  assert.deepEqual([back.role, back.adding, back.identity.objectId], ['edge', true, 'o']);
});

test('a tapped point is kept in a few bytes, however many stand', () => {
  const draft = new Draft({ kind: 'area' });
  for (let step = 0; step < 300; step += 1) draft.addPoint([step, (step * 7) % 31]);

  const last = timelineOf(draft).at(-1);

  assert.ok(JSON.stringify(keptStep(last)).length < 200);
});

test('a point moved in a long outline is kept in a few bytes', () => {
  const draft = new Draft({ kind: 'area' });
  draft.addStroke(Array.from({ length: 300 }, (_, step) => [100 + 40 * Math.cos(step / 48), 100 + 40 * Math.sin(step / 48)]), 0);
  draft.movePoint([0], 150, [10, 10]);

  const last = timelineOf(draft).at(-1);

  assert.ok(JSON.stringify(keptStep(last)).length < 250);
});

test('a hole taken back is drawn on as a hole', () => {
  const draft = new Draft({ kind: 'area' });
  [[0, 0], [10, 0], [10, 10], [0, 10]].forEach((point) => draft.addPoint(point));
  draft.finish();
  draft.addNext('hole');
  [[2, 2], [4, 2], [4, 4]].forEach((point) => draft.addPoint(point));
  draft.finish();

  draft.undo();
  draft.addPoint([2, 4]);
  draft.finish();

  assert.equal(draft.geometry?.type, 'Polygon');
  assert.equal(draft.geometry?.coordinates[1].length, 5);
});

test('what a palm did is neither there nor to be done again', () => {
  const draft = new Draft({ kind: 'area' });
  draft.addPoint([0, 0]);
  draft.addPoint([5, 5]);

  draft.forgetLast();

  assert.deepEqual(draft.sketch, [[0, 0]]);
  assert.equal(draft.redo(), false);
});

test('a stroke that was cut off stays an open line', () => {
  const draft = new Draft({ kind: 'area' });

  draft.addOpenStroke([[0, 0], [4, 0], [4, 4], [0, 4]], 0.01);

  assert.equal(draft.geometry, null);
  assert.equal(draft.sketch.length, 4);
});
