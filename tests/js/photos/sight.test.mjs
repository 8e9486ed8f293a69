import assert from 'node:assert/strict';
import { test } from 'node:test';
import { Sight, inverse, through } from '../../../static/js/photos/place/sight.js';

const SIZE = { width_px: 4000, height_px: 3000 };

/** @param {number[]} found @param {number[]} wanted @param {number} within */
function near(found, wanted, within) {
  found.forEach((value, axis) => assert.ok(Math.abs(value - wanted[axis]) <= within, `${found} is not ${wanted}`));
}

test('a homography takes a unit square to a given quadrilateral', () => {
  // source: cross-checked elsewhere with OpenCV and scikit-image: (0,0)(1,0)(1,1)(0,1) → (0,0)(2,0)(3,2)(0,1)
  const h = [[1.2, 0, 0], [0, 0.8, 0], [-0.4, -0.2, 1]];

  near(through(h, [0.5, 0.5]), [0.857143, 0.571429], 1e-6);
  near(through(h, [0.25, 0.75]), [0.4, 0.8], 1e-12);
  near(through(h, [1, 1]), [3, 2], 1e-12);
});

test('there and back is where one was, with and without a lens', () => {
  const h = [[0.03, 0.001, -4], [-0.0008, -0.031, 120], [1e-6, 2e-6, 1]];
  for (const lens of [null, { k1: -0.05, k2: 0.01 }, { k1: 0.08 }]) {
    const sight = new Sight(h, lens, SIZE);
    for (const px of [[0, 0], [4000, 3000], [2000, 1500], [317.25, 2801.5]]) near(sight.toPicture(sight.toWall(px)), px, 1e-6);
  }
});

test('a lens leaves the middle of the picture where it is and bends its corner', () => {
  const sight = new Sight([[1, 0, 0], [0, 1, 0], [0, 0, 1]], { k1: 0.1 }, SIZE);

  near(sight.toWall([2000, 1500]), [2000, 1500], 1e-9);
  // source: by hand: at r = 1 the place moves outward by 1 + k1 = 1.1: 2000 + 2000 × 1.1, 1500 + 1500 × 1.1
  near(sight.toWall([4000, 3000]), [4200, 3150], 1e-9);
});

test('what lies behind the camera is told from what lies before it', () => {
  const sight = new Sight([[1, 0, 0], [0, 1, 0], [0.01, 0, 1]], null, SIZE);

  assert.equal(sight.isBefore([50, 10], [10, 10]), true);
  assert.equal(sight.isBefore([150, 10], [10, 10]), false);
});

test('a homography that flattens the wall to a line is refused', () => {
  assert.throws(() => inverse([[1, 2, 0], [2, 4, 0], [0, 0, 1]]), /no inverse/);
});
