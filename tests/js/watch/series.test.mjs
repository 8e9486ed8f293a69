/** Does the chart of a series show every peak, break at silences, and zoom within its span? */

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { nearest } from '../../../static/js/watch/series_chart.js';
import { lineOf, scalesOf } from '../../../static/js/watch/series_drawing.js';
import { digitsOf, fullMoment, momentText, nextSpan, numberText, roundMoments, roundValues } from '../../../static/js/watch/series_scale.js';

const DAY = 86400;

function chart(more = {}) {
  return {
    instrument: 'V1', channel: 'x', words: 'particle velocity', unit: 'in/s', digits: 3, start: 0, end: 100, columns: 10,
    filled: [0, 1, 2, 7, 8], least: [1, 1, 1, 1, 1], most: [1, 9, 1, 1, 1], readings: 5, gaps: [], limits: [], phases: [], surveys: [], exceedances: [],
    ...more,
  };
}

test('the line reaches the peak of a column', () => {
  const one = chart();
  const scales = scalesOf(one, 800);

  assert.ok(lineOf(one, scales).includes(`V${scales.y(9).toFixed(1)}`));
});

test('the line breaks where the instrument was silent and nowhere else', () => {
  const joined = chart();
  const broken = chart({ gaps: [[26, 74]] });

  assert.equal(lineOf(joined, scalesOf(joined, 800)).match(/M/g).length, 1);
  assert.equal(lineOf(broken, scalesOf(broken, 800)).match(/M/g).length, 2);
});

test('a limit above every reading is in the picture', () => {
  const one = chart({ limits: [{ level: 'red', value: 20 }] });

  assert.ok(scalesOf(one, 800).y(20) > 0);
});

test('a chart without a reading has scales all the same', () => {
  const none = chart({ filled: [], least: [], most: [] });

  assert.ok(Number.isFinite(scalesOf(none, 800).y(0.5)));
});

test('round values are round and lie inside', () => {
  assert.deepEqual(roundValues(0, 0.08, 4), [0, 0.02, 0.04, 0.06, 0.08]);
  assert.deepEqual(roundValues(-3, 12, 3), [0, 5, 10]);
  assert.deepEqual(roundValues(5, 5, 4), [5]);
});

test('a step is told with as many digits as it has', () => {
  assert.deepEqual([5, 2.5, 0.02, 0.025, 1000].map(digitsOf), [0, 1, 2, 3, 0]);
});

test('round moments keep to days in a month and to hours in a day', () => {
  assert.ok(roundMoments(1000, 1000 + 28 * DAY, 8).every((at) => at % DAY === 0));
  assert.ok(roundMoments(1000, 1000 + DAY, 8).every((at) => at % 3600 === 0));
  assert.ok(roundMoments(0, 800 * DAY, 8).length <= 8);
});

test('zooming keeps the moment in its place and stays within the whole', () => {
  const whole = { start: 0, end: 1000 * 60 };
  const half = nextSpan(whole, whole, { about: 15000, factor: 0.5 });

  assert.deepEqual(half, { start: 7500, end: 37500 });
  assert.deepEqual(nextSpan(half, whole, { factor: 10 }), whole);
  assert.deepEqual(nextSpan(half, whole, { move: -5 }), { start: 0, end: 30000 });
  assert.equal(nextSpan(half, whole, { factor: 1e-9 }).end - nextSpan(half, whole, { factor: 1e-9 }).start, 60);
});

test('moments and numbers are said in the house manner', () => {
  const at = Date.UTC(2026, 6, 21, 10, 42) / 1000;

  assert.equal(fullMoment(at), '21 Jul 2026, 10:42 UTC');
  assert.equal(momentText(at, DAY), '21 Jul, 10:42');
  assert.equal(momentText(at, 30 * DAY), '21 Jul');
  assert.equal(numberText(-0.5, 2), '−0.50');
});

test('the nearest column is found at the ends and between', () => {
  assert.equal(nearest([], 3), -1);
  assert.equal(nearest([2, 5, 9], -4), 0);
  assert.equal(nearest([2, 5, 9], 40), 2);
  assert.equal(nearest([2, 5, 9], 6), 1);
  assert.equal(nearest([2, 5, 9], 8), 2);
});
