// Does the browser's grid answer as the shared vectors say?
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import test from 'node:test';

import { Grid } from '../../static/js/shared/grid.js';
import { InvalidInput } from '../../static/js/shared/lengths.js';

const vectors = JSON.parse(readFileSync(new URL('../vectors/grid.json', import.meta.url), 'utf8'));

/** @param {any} wall */
function gridOf(wall) {
  if (wall.json) return Grid.fromJson(wall.json);
  const camel = Object.entries(wall.regular).map(([key, value]) => [
    key.replace(/_(.)/g, (_, letter) => letter.toUpperCase()),
    value,
  ]);
  return Grid.regular(Object.fromEntries(camel));
}

for (const wall of vectors.walls) {
  const grid = gridOf(wall);

  test(`${wall.name}: columns, rows and labels in reading order`, () => {
    const labels = grid.labels();
    assert.deepEqual(grid.shape, wall.shape);
    assert.equal(grid.cellCount, wall.cells);
    assert.equal(new Set(labels).size, wall.cells);
    assert.deepEqual([labels[0], labels[1], labels.at(-1)], [wall.first, wall.second, wall.last]);
  });

  test(`${wall.name}: bounds of cells`, () => {
    for (const [label, bounds] of Object.entries(wall.bounds)) assert.deepEqual(grid.bounds(label), bounds);
  });

  test(`${wall.name}: the cell at a point, lines included`, () => {
    for (const [x, y, label] of wall.points) assert.equal(grid.cellAt(x, y), label, `at ${x}, ${y}`);
  });

  test(`${wall.name}: places counted from a cell's lower left corner, and back`, () => {
    for (const [x, y, label, dx, dy] of wall.local) {
      assert.deepEqual(grid.toLocal(x, y), [label, dx, dy]);
      assert.deepEqual(grid.fromLocal(label, dx, dy), [x, y]);
    }
  });

  test(`${wall.name}: labels as people type them`, () => {
    for (const [label, place] of Object.entries(wall.typed)) assert.deepEqual(grid.position(label), place);
    for (const label of wall.not_cells) assert.throws(() => grid.position(label), InvalidInput, label);
  });

  test(`${wall.name}: the description reads back to the same grid`, () => {
    assert.deepEqual(Grid.fromJson(grid.toJson()).labels(), grid.labels());
  });
}

test('a label that is no cell is answered with the range of labels', () => {
  const [hall] = vectors.walls;
  assert.throws(() => gridOf(hall).position('H09'), (error) => error.message.endsWith(hall.range));
});

test('a point beyond the grid has no local place', () => {
  assert.throws(() => gridOf(vectors.walls[0]).toLocal(-1, 5), /beyond the grid/);
});

test('a place is said in feet and inches within its cell', () => {
  assert.equal(
    gridOf(vectors.walls[0]).placeText(400.5, 30),
    'F17, 1′\u00a04\u202f½″ across, 6″ up',
  );
});
