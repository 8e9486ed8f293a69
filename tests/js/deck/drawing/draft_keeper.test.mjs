import assert from 'node:assert/strict';
import { test } from 'node:test';
import fc from 'fast-check';
import { Draft } from '../../../../static/js/wall/draft.js';
import { STROKE_EVERY_MS } from '../../../../static/js/deck/drawing/draft_keeper.js';
import { Tablet, everyState, underPen } from './tablet.mjs';

const around = [[10, 10], [40, 12], [44, 30], [28, 44], [12, 36]];

/** @param {any} page @param {any} draft */
async function left(page, draft) {
  await page.keeper.settled();
  const state = everyState(draft);
  page.kill();
  return state;
}

test('the browser is killed after each step, and the outline is as it was', async () => {
  const deeds = [
    ...around.map((point) => (draft) => draft.addPoint(point)), (draft) => draft.undo(), (draft) => draft.redo(), (draft) => draft.finish(), (draft) => draft.movePoint([0], 1, [42, 10]),
    (draft) => { draft.stated = { ...draft.stated, edge: 'fresh' }; draft.onChange(); }, (draft) => draft.addNext('hole'), (draft) => draft.addPoint([20, 20]), (draft) => draft.undo(),
  ];
  const tablet = new Tablet();
  let page = tablet.open();
  let draft = underPen(page, new Draft({ kind: 'area', stated: { term: 'paint-loss' } }));
  for (const deed of deeds) {
    deed(draft);
    const stated = structuredClone(draft.stated);
    const before = await left(page, draft);

    page = tablet.open();
    const found = await page.keeper.restore();

    assert.deepEqual(everyState(found.draft), before);
    assert.deepEqual(found.draft.stated, stated);
    assert.deepEqual([found.head.cell, found.head.mode], ['C17', 'normal']);
    draft = found.draft;
    draft.onChange = () => page.keeper.changed();
  }
});

test('whatever is drawn, undone and redone survives a restart', async () => {
  const deed = fc.oneof(
    { weight: 6, arbitrary: fc.tuple(fc.integer({ min: 0, max: 900 }), fc.integer({ min: 0, max: 160 })).map((point) => ['addPoint', point]) },
    { weight: 2, arbitrary: fc.constantFrom(['undo'], ['redo'], ['finish'], ['forgetLast'], ['addNext', 'part'], ['stopAdding']) },
  );
  await fc.assert(fc.asyncProperty(fc.array(fc.tuple(deed, fc.boolean()), { minLength: 1, maxLength: 40 }), async (deeds) => {
    const tablet = new Tablet();
    const page = tablet.open();
    const draft = underPen(page, new Draft({ kind: 'area', stated: { term: 'flaking' } }));
    for (const [[name, ...parameters], waits] of deeds) {
      draft[name](...parameters);
      if (waits) await page.keeper.settled();
    }
    const before = await left(page, draft);

    const found = await tablet.open().keeper.restore();

    // Nothing drawn, or all of it: an outline without a step is no outline that was open.
    if (before.back.length + before.forward.length === 0) assert.equal(found, null);
    else assert.deepEqual(everyState(found.draft), before);
  }), { numRuns: 60 });
});

test('four hundred and fifty points can be drawn, and a restart keeps the last four hundred steps', async () => {
  const tablet = new Tablet();
  const page = tablet.open();
  const draft = underPen(page, new Draft({ kind: 'line', stated: { term: 'hairline-crack' } }));
  for (let step = 0; step < 450; step += 1) {
    draft.addPoint([step, step % 5]);
    if (step % 50 === 0) await page.keeper.settled();
  }
  await left(page, draft);

  const found = await tablet.open().keeper.restore();

  assert.equal(found.draft.sketch.length, 450);
  let undone = 0;
  while (found.draft.undo()) undone += 1;
  assert.equal(undone, 400);
});

test('"saved" is said only when the disk holds the point', async () => {
  const tablet = new Tablet();
  const page = tablet.open();
  const draft = underPen(page, new Draft({ kind: 'area' }));

  draft.addPoint([1, 1]);
  assert.deepEqual(page.said, ['saving']);
  await page.keeper.settled();

  assert.deepEqual(page.said, ['saving', 'saved']);
  const row = await tablet.open().disk.run(['drafts'], 'readonly', (tx) => tx.all('drafts'));
  assert.equal(row[0].done, 1);
});

test('points drawn while a write is under way are written after it, in order', async () => {
  const tablet = new Tablet();
  const page = tablet.open();
  const written = [];
  const { run } = page.disk;
  page.disk.run = (names, mode, work) => run.call(page.disk, names, mode, (tx) => work({ ...bound(tx), put: (store, row) => { if (store === 'drafts') written.push(row.done); return tx.put(store, row); } }));
  const draft = underPen(page, new Draft({ kind: 'line' }));

  for (let step = 0; step < 30; step += 1) {
    draft.addPoint([step, 0]);
    if (step % 7 === 0) await null;
  }
  await page.keeper.settled();

  assert.deepEqual(written, [...written].sort((one, other) => one - other));
  assert.equal(written.at(-1), 30);
});

/** @param {any} tx */
function bound(tx) {
  return Object.fromEntries(['get', 'put', 'delete', 'all', 'count', 'lastKey'].map((name) => [name, (...parameters) => tx[name](...parameters)]));
}

test('a write that fails says so, keeps the point under the pen, and is made up for', async () => {
  const tablet = new Tablet();
  const page = tablet.open();
  const { run } = page.disk;
  const draft = underPen(page, new Draft({ kind: 'area' }));
  page.disk.run = async () => { throw new Error('the disk is full'); };

  draft.addPoint([1, 1]);
  await page.keeper.settled();
  draft.addPoint([2, 2]);
  await page.keeper.settled();

  assert.deepEqual([...new Set(page.said)], ['saving', 'NOT saved: the disk is full']);
  page.disk.run = run;
  page.pass(2000);
  await page.keeper.settled();
  assert.equal(page.said.at(-1), 'saved');
  const before = await left(page, draft);
  assert.deepEqual(everyState((await tablet.open().keeper.restore()).draft), before);
});

test('an outline that the disk refuses is not put aside', async () => {
  const page = new Tablet().open();
  const draft = underPen(page, new Draft({ kind: 'area' }));
  page.disk.run = async () => { throw new Error('the disk is full'); };
  draft.addPoint([1, 1]);

  const { isLeft } = await page.keeper.leave();

  assert.equal(isLeft, false);
  assert.equal(page.keeper.held.draft, draft);
});

test('a stroke is on the disk every quarter of a second, and comes back as an open line', async () => {
  const tablet = new Tablet();
  const page = tablet.open();
  underPen(page, new Draft({ kind: 'area', stated: { term: 'flaking' } }));
  const stroke = [];
  for (let moment = 0; moment < 60; moment += 1) {
    stroke.push([moment, moment % 9]);
    page.keeper.strokeMoved(stroke, 0.01);
    page.pass(10);
  }
  await page.keeper.settled();
  page.kill();

  const found = await tablet.open().keeper.restore();

  assert.equal(found.draft.geometry, null);
  const last = found.draft.sketch.at(-1);
  // Of 600 ms drawn, at most the last quarter of a second is missing.
  assert.ok(last[0] >= 59 - STROKE_EVERY_MS / 10, `drawn to 59, kept to ${last[0]}`);
});

test('a stroke that was lifted leaves nothing of its own behind', async () => {
  const tablet = new Tablet();
  const page = tablet.open();
  const draft = underPen(page, new Draft({ kind: 'area' }));
  page.keeper.strokeMoved([[0, 0], [10, 0], [10, 10]], 0.01);
  page.pass(STROKE_EVERY_MS);
  await page.keeper.settled();

  draft.addStroke([[0, 0], [10, 0], [10, 10], [0, 10]], 0.01);
  page.keeper.strokeMoved(null, 0);
  const before = await left(page, draft);

  assert.equal(before.now.geometry.type, 'Polygon');
  assert.deepEqual(everyState((await tablet.open().keeper.restore()).draft), before);
});

test('two tabs do not take the same draft', async () => {
  const tablet = new Tablet();
  const page = tablet.open();
  underPen(page, new Draft({ kind: 'area' })).addPoint([1, 1]);
  await page.keeper.settled();
  const id = page.keeper.id;

  const other = tablet.open();

  assert.equal(await other.keeper.restore(), null);
  assert.equal(await other.keeper.takeUp(id), null);
  page.kill();
  assert.notEqual(await other.keeper.takeUp(id), null);
});

test('what is put aside can be taken up again with its steps, and a restart does not open it by itself', async () => {
  const tablet = new Tablet();
  const page = tablet.open();
  const draft = underPen(page, new Draft({ kind: 'area', stated: { term: 'dust' } }));
  around.forEach((point) => draft.addPoint(point));
  draft.undo();
  const before = everyState(draft);
  const { id } = await page.keeper.leave();
  page.kill();

  const later = tablet.open();
  assert.equal(await later.keeper.restore(), null);
  const [row] = await later.keeper.others();
  assert.equal(row.id, id);
  const found = await later.keeper.takeUp(id);

  assert.deepEqual(everyState(found.draft), before);
});

test('a copy that nobody changed is dropped when it is left', async () => {
  const tablet = new Tablet();
  const page = tablet.open();
  underPen(page, new Draft({ kind: 'area', geometry: { type: 'Polygon', coordinates: [[[0, 0], [4, 0], [4, 4], [0, 0]]] } }));
  await page.keeper.settled();

  const { id } = await page.keeper.leave();

  assert.equal(id, null);
  assert.deepEqual(await page.keeper.others(), []);
});

test('while an outline goes into the record, nothing of it is written anew', async () => {
  const tablet = new Tablet();
  const page = tablet.open();
  const draft = underPen(page, new Draft({ kind: 'area' }));
  around.forEach((point) => draft.addPoint(point));

  const held = await page.keeper.release();
  page.keeper.hold(draft, { cell: 'C17', mode: 'normal' });
  page.keeper.changed();
  await page.keeper.settled();

  assert.equal(held.isKept, true);
  assert.equal(page.keeper.id, null);
  page.keeper.released(held, { isInRecord: false });
  assert.equal(page.keeper.id, held.id);
});

test('a step is shown once, and only when the disk has it', async () => {
  const page = new Tablet().open();
  const draft = underPen(page, new Draft({ kind: 'area' }));
  const shown = [];
  const show = () => shown.push(page.said.at(-1));

  draft.addPoint([10, 10]);
  page.keeper.afterwards(show);
  page.keeper.afterwards(show);
  await page.keeper.settled();
  await new Promise((turn) => { setTimeout(turn); });

  assert.deepEqual(shown, ['saved']);
});
