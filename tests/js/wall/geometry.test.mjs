import assert from 'node:assert/strict';
import { test } from 'node:test';
import { boundsOf, clipRing, coveredArea, crossesItself, lengthOf, lines, rectangleWithout, signedArea, simplify, sizes, withLine } from '../../../static/js/wall/geometry.js';

// source: the expected figures are plain school geometry (squares, triangles, circles).

const square = [[0, 0], [12, 0], [12, 12], [0, 12]];

test('a square of one foot has a square foot and four feet of edge', () => {
  const size = sizes({ type: 'Polygon', coordinates: [[...square, square[0]]] });

  assert.equal(size.area_sq_in, 144);
  assert.equal(size.perimeter_in, 48);
});

test('doubling every length quadruples the area', () => {
  const ring = [[0, 0], [7, 1], [9, 8], [2, 5]];

  const doubled = ring.map(([x, y]) => [2 * x, 2 * y]);

  assert.equal(signedArea(doubled), 4 * signedArea(ring));
});

test('a line of 3, 4, 5 measures 7 open and 12 closed', () => {
  assert.equal(lengthOf([[0, 0], [3, 0], [3, 4]], false), 7);
  assert.equal(lengthOf([[0, 0], [3, 0], [3, 4]], true), 12);
});

test('a figure of eight covers both its loops', () => {
  const eight = [[0, 0], [10, 10], [10, 0], [0, 10]];

  assert.equal(crossesItself(eight), true);
  assert.equal(signedArea(eight), 0);
  assert.ok(Math.abs(coveredArea(eight) - 50) < 0.2);
});

test('what is covered twice counts once', () => {
  const twice = [...square, ...square];

  assert.ok(Math.abs(coveredArea(twice) - 144) < 1e-9);
});

test('simplifying keeps every dropped point within the tolerance', () => {
  const wave = Array.from({ length: 200 }, (_, step) => [step / 10, Math.sin(step / 10)]);

  const kept = simplify(wave, 0.02);

  assert.ok(kept.length < 60);
  assert.deepEqual([kept[0], kept.at(-1)], [wave[0], wave.at(-1)]);
  for (const [x, y] of wave) {
    const index = kept.findIndex((point) => point[0] >= x);
    const [a, b] = [kept[Math.max(0, index - 1)], kept[index]];
    const onLine = a === b ? a[1] : a[1] + ((b[1] - a[1]) * (x - a[0])) / (b[0] - a[0]);
    assert.ok(Math.abs(onLine - y) <= 0.02 * 1.5);
  }
});

test('a ring cut to a cell keeps to the cell', () => {
  const cut = clipRing([[-5, -5], [30, -5], [30, 6], [-5, 6]], [0, 0, 24, 24]);

  assert.deepEqual(boundsOf({ type: 'Polygon', coordinates: [cut] }), [0, 0, 24, 6]);
  assert.equal(Math.abs(signedArea(cut)), 24 * 6);
});

test('a cell without its upper strip loses just that strip', () => {
  const left = rectangleWithout([0, 0, 24, 24], [-10, 18, 40, 30]);

  assert.deepEqual(left, [[0, 0, 24, 18]]);
});

test('a cell without a hole in its middle keeps the rest of its area', () => {
  const left = rectangleWithout([0, 0, 10, 10], [4, 4, 6, 6]);

  const area = left.reduce((sum, [x0, y0, x1, y1]) => sum + (x1 - x0) * (y1 - y0), 0);
  assert.equal(area, 100 - 4);
});

test('replacing a line with itself changes nothing', () => {
  const geometry = { type: 'MultiPolygon', coordinates: [[[[0, 0], [4, 0], [4, 4], [0, 0]]], [[[8, 0], [9, 0], [9, 1], [8, 0]]]] };

  for (const line of lines(geometry)) assert.deepEqual(withLine(geometry, line.path, line.points), geometry);
});
