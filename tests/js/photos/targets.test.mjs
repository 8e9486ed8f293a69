import assert from 'node:assert/strict';
import { test } from 'node:test';
import { Sight } from '../../../static/js/photos/place/sight.js';
import { cornersOf, crossingsOf, furtherTargets, nearestCrossing, placeText, spanAround } from '../../../static/js/photos/place/targets.js';
import { Grid } from '../../../static/js/shared/grid.js';

// source: the invented wall: 84 ft by 14 ft in 2 ft cells; C17 is column 17 from the left, row 3 from the top
const grid = Grid.regular({ widthIn: 1008, heightIn: 168, columnSpacingIn: 24, rowSpacingIn: 24 });
const SIZE = { width_px: 2400, height_px: 2400 };
/** Square to the wall at 25 px/in, its upper left corner at 372 in across and 132 in up. */
const sight = new Sight([[1 / 25, 0, 372], [0, -1 / 25, 132], [0, 0, 1]], null, SIZE);

test('the corners of a cell are named as one faces the wall', () => {
  assert.deepEqual(cornersOf(grid, 'C17').map(({ name, wall_in }) => [name, ...wall_in]), [['C17 upper left', 384, 120], ['C17 upper right', 408, 120], ['C17 lower right', 408, 96], ['C17 lower left', 384, 96]]);
});

test('the crossings around a cell are sixteen, its own corners among them', () => {
  const found = crossingsOf(grid, spanAround(grid, ['C17']), ['C17']);

  assert.equal(found.length, 16);
  assert.deepEqual(found[0].wall_in, [360, 144]);
  assert.deepEqual(found.filter(({ kind }) => kind === 'corner').map(({ name }) => name), ['C17 upper left', 'C17 upper right', 'C17 lower left', 'C17 lower right']);
});

test('at the wall\'s edge there are fewer, and without a cell none', () => {
  assert.equal(crossingsOf(grid, spanAround(grid, ['A01']), ['A01']).length, 9);
  assert.equal(spanAround(grid, []), null);
  assert.equal(spanAround(grid, ['Z99']), null);
});

test('the nearest crossing is called a corner where it is one of the photograph\'s cell', () => {
  assert.deepEqual(nearestCrossing(grid, [385, 118.5], ['C17']), { name: 'C17 upper left', kind: 'corner', wall_in: [384, 120] });
  assert.equal(nearestCrossing(grid, [385, 118.5], []).kind, 'crossing');
});

test('more points are suggested where none are, and only on the picture', () => {
  const marked = [[384, 120], [408, 120], [408, 96], [384, 96]];

  const found = furtherTargets({ grid, sight, size: { width_px: 1500, height_px: 2400 }, marked, cells: ['C17'] });

  // source: by hand: the picture shows 372 to 432 in across and 36 to 132 in up, its edges left out
  assert.deepEqual(found.map(({ wall_in }) => String(wall_in)).sort(), ['384,48', '384,72', '408,48', '408,72']);
  // The first one is as far from all marked ones as the picture allows.
  assert.deepEqual(found[0].wall_in, [384, 48]);
});

test('eight points are enough', () => {
  const marked = [[384, 120], [408, 120], [408, 96], [384, 96], [384, 72], [408, 72], [384, 48], [408, 48]];

  assert.deepEqual(furtherTargets({ grid, sight, size: SIZE, marked, cells: [] }), []);
});

test('a place is said in feet and inches', () => {
  assert.equal(placeText([384, 97.5]), '32′\u00a00″ across, 8′\u00a01\u202f½″ up');
});
