import assert from 'node:assert/strict';
import { test } from 'node:test';
import { Draft, contains } from '../../../static/js/wall/draft.js';
import { signedArea, sizes } from '../../../static/js/wall/geometry.js';

const square = [[0, 0], [10, 0], [10, 10], [0, 10]];

/** @param {'area' | 'line' | 'point'} kind @param {number[][]} points */
function drawn(kind, points) {
  const draft = new Draft({ kind });
  points.forEach((point) => draft.addPoint(point));
  return draft;
}

test('an area closes only with three points', () => {
  const draft = drawn('area', square.slice(0, 2));

  assert.equal(draft.finish(), false);

  draft.addPoint([10, 10]);
  assert.equal(draft.finish(), true);
  assert.equal(draft.geometry?.type, 'Polygon');
});

test('a point lies on the 1/256 in lattice', () => {
  const draft = drawn('area', [[1 / 3, 2 / 3]]);

  const [[x, y]] = draft.sketch;

  assert.equal(x * 256, Math.round(256 / 3));
  assert.equal(y * 256, Math.round(512 / 3));
});

test('the same point tapped twice stands once', () => {
  const draft = drawn('area', [[1, 1], [1, 1], [2, 2]]);

  assert.equal(draft.sketch.length, 2);
});

test('two hundred points are taken back one by one and come again', () => {
  const draft = new Draft({ kind: 'line' });
  for (let step = 0; step < 200; step += 1) draft.addPoint([step, step % 7]);

  for (let step = 0; step < 200; step += 1) assert.equal(draft.undo(), true);
  assert.equal(draft.isEmpty, true);
  assert.equal(draft.undo(), false);

  for (let step = 0; step < 200; step += 1) draft.redo();
  assert.equal(draft.sketch.length, 200);
  assert.deepEqual(draft.sketch[199], [199, 199 % 7]);
});

test('drawing on after undo forgets what was undone', () => {
  const draft = drawn('line', [[0, 0], [1, 0], [2, 0]]);

  draft.undo();
  draft.addPoint([5, 5]);

  assert.equal(draft.redo(), false);
  assert.deepEqual(draft.sketch, [[0, 0], [1, 0], [5, 5]]);
});

test('a stroke of the pen is an area by itself', () => {
  const draft = new Draft({ kind: 'area' });
  const circle = Array.from({ length: 90 }, (_, step) => [50 + 10 * Math.cos(step * 4 * Math.PI / 180), 50 + 10 * Math.sin(step * 4 * Math.PI / 180)]);

  draft.addStroke(circle, 0.05);

  assert.equal(draft.geometry?.type, 'Polygon');
  // The circle's own area bounds what a chord polygon within 0.05 in of it can lose: perimeter times 0.05.
  assert.ok(Math.abs(draft.sizes.area_sq_in - Math.PI * 100) < 2 * Math.PI * 10 * 0.06);
});

test('a hole goes into the part that holds it', () => {
  const draft = drawn('area', square);
  draft.finish();
  draft.addNext('part');
  [[20, 0], [30, 0], [30, 10], [20, 10]].forEach((point) => draft.addPoint(point));
  draft.finish();
  draft.addNext('hole');
  [[22, 2], [24, 2], [24, 4], [22, 4]].forEach((point) => draft.addPoint(point));
  draft.finish();

  assert.equal(draft.geometry?.type, 'MultiPolygon');
  assert.deepEqual(draft.geometry?.coordinates.map((part) => part.length), [1, 2]);
  assert.equal(draft.sizes.area_sq_in, 100 + 100 - 4);
});

test('moving one edge leaves the other points exactly where they were', () => {
  const draft = drawn('area', square);
  draft.finish();
  draft.addNext('edge');
  [[10, 2], [14, 5], [10, 8]].forEach((point) => draft.addPoint(point));
  draft.finish();

  const [ring] = draft.geometry?.coordinates ?? [];
  for (const corner of square) assert.ok(ring.some((point) => point[0] === corner[0] && point[1] === corner[1]));
  // The new edge adds a triangle of base 6 in and height 4 in.
  assert.equal(sizes(draft.geometry).area_sq_in, 100 + 12);
});

test('a crack is drawn on from the end that lies nearer', () => {
  const draft = drawn('line', [[0, 0], [10, 0]]);
  draft.finish();

  draft.addNext('edge');
  draft.addPoint([-2, 1]);
  assert.equal(draft.finish(), true);
  draft.addNext('edge');
  [[12, 0], [15, 4]].forEach((point) => draft.addPoint(point));
  draft.finish();

  assert.deepEqual(draft.geometry, { type: 'LineString', coordinates: [[-2, 1], [0, 0], [10, 0], [12, 0], [15, 4]] });
});

test('points of a point term gather in one outline', () => {
  const draft = drawn('point', [[1, 1], [2, 2], [3, 3]]);

  assert.equal(draft.geometry?.type, 'MultiPoint');
  assert.equal(draft.sizes.points, 3);
});

test('a point that was put in by hand becomes a point when it is finished', () => {
  const draft = new Draft({ kind: 'point' });
  draft.insertPoint([0], 0, [3, 4]);

  draft.finish();

  assert.deepEqual(draft.geometry, { type: 'Point', coordinates: [3, 4] });
});

test('an area keeps its last three points', () => {
  const draft = drawn('area', square.slice(0, 3));
  draft.finish();

  assert.equal(draft.removePoint([0], 1), false);
});

test('a ring holds what lies inside and not what lies outside', () => {
  assert.equal(contains(square, [5, 5]), true);
  assert.equal(contains(square, [15, 5]), false);
  assert.equal(Math.abs(signedArea(square)), 100);
});
