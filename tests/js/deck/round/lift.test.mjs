import assert from 'node:assert/strict';
import { test } from 'node:test';
import { Grid } from '../../../../static/js/shared/grid.js';
import { baysOf, cellState, countsText, liftsOf, nextCell, suggestedBay, walkOrder } from '../../../../static/js/deck/round/lift.js';
import { WallPlan } from '../../../../static/js/wall/plan.js';

// source: scenario.md's invented wall: 84 ft by 14 ft, 2 ft cells, decks at 7 ft and 14 ft over a lower edge at 8 ft.
function stationWall() {
  const grid = Grid.regular({ widthIn: 1008, heightIn: 168, columnSpacingIn: 24, rowSpacingIn: 24 });
  const decks = [{ name: '1', level_above_floor_in: 84, band: [0, 72] }, { name: '2', level_above_floor_in: 168, band: [72, 168] }];
  return new WallPlan({ wall: { name: 'wall', width_in: 1008, height_in: 168 }, layout: { version: 1, grid: grid.toJson(), decks } });
}

test('every cell belongs to exactly one lift', () => {
  const plan = stationWall();

  const lifts = liftsOf(plan);

  assert.deepEqual(lifts.map(({ deck }) => deck), ['2', '1']);
  assert.equal(lifts.flatMap(({ cells }) => cells).length, 294);
  assert.equal(new Set(lifts.flatMap(({ cells }) => cells)).size, 294);
});

test('bays cover a lift without overlap, none larger than twelve cells', () => {
  const plan = stationWall();
  for (const lift of liftsOf(plan)) {
    const bays = baysOf(plan, lift);

    assert.deepEqual(bays.flatMap(({ cells }) => cells).sort(), [...lift.cells].sort());
    assert.ok(bays.every(({ cells }) => cells.length <= 12));
  }
});

test('the cells of a bay are neighbours: its columns stand side by side', () => {
  const plan = stationWall();
  const [, lower] = liftsOf(plan);

  for (const { cells } of baysOf(plan, lower)) {
    const columns = [...new Set(cells.map((label) => plan.grid.position(label)[0]))].sort((one, other) => one - other);
    assert.equal(columns[columns.length - 1] - columns[0], columns.length - 1);
  }
});

test('without the order of a pack a bay is walked column by column from the top down', () => {
  const plan = stationWall();

  assert.deepEqual(walkOrder(plan, ['G01', 'E02', 'E01', 'F01', 'F02', 'G02']), ['E01', 'F01', 'G01', 'E02', 'F02', 'G02']);
});

test('on a wall read from the right the walk begins at the right', () => {
  const grid = Grid.regular({ widthIn: 48, heightIn: 48, columnSpacingIn: 24, rowSpacingIn: 24, columnsFrom: 'right' });
  const plan = new WallPlan({ wall: { name: 'wall', width_in: 48, height_in: 48 }, layout: { version: 1, grid: grid.toJson() } });

  const order = walkOrder(plan, plan.labels);

  assert.deepEqual(order.map((label) => plan.bounds(label)[0]), [24, 24, 0, 0]);
});

test('the order of the pack goes before any other', () => {
  const plan = stationWall();

  assert.deepEqual(walkOrder(plan, ['E01', 'F01', 'G01'], ['G01', 'A09', 'E01', 'F01']), ['G01', 'E01', 'F01']);
});

test('a cell stated as not examined is settled whatever else was stated', () => {
  assert.equal(cellState({ examination: { state: 'not-examined', done: false }, begun: true, due: true }), 'not-examined');
});

test('a cell done with hidden parts says so', () => {
  assert.equal(cellState({ examination: { state: 'part-hidden', done: true, hidden: [{}] }, begun: false, due: true }), 'hidden');
});

test('an examination that is saved and not done leaves the cell begun', () => {
  assert.equal(cellState({ examination: { state: 'seen', done: false }, begun: false, due: true }), 'begun');
});

test('after the last cell of a bay the walk returns to one that was passed over', () => {
  const states = { E01: 'due', F01: 'done', G01: 'done' };

  assert.equal(nextCell(['E01', 'F01', 'G01'], 'G01', (label) => states[label]), 'E01');
});

test('a bay whose cells are all settled has no next cell', () => {
  assert.equal(nextCell(['E01', 'F01'], 'E01', () => 'done'), null);
});

test('the cell just left is not offered again as the next', () => {
  assert.equal(nextCell(['E01'], 'E01', () => 'due'), null);
});

test('the bay suggested holds the first cell that is due in the order of the pack', () => {
  const plan = stationWall();
  const bays = liftsOf(plan).flatMap((lift) => baysOf(plan, lift));
  const stateOf = (label) => (['G20', 'B03'].includes(label) ? 'due' : 'not-due');

  const bay = suggestedBay(bays, stateOf, ['G20', 'B03']);

  assert.ok(bay.cells.includes('G20'));
});

test('with nothing due no bay is suggested', () => {
  const plan = stationWall();

  assert.equal(suggestedBay(baysOf(plan, liftsOf(plan)[0]), () => 'done', ['A01']), null);
});

test('counts of states name only what there is', () => {
  assert.equal(countsText(['A', 'B', 'C'], (label) => (label === 'C' ? 'done' : 'due')), '2 due, 1 done');
});
