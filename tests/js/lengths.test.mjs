// Do the browser's lengths answer as the shared vectors say?
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import test from 'node:test';

import {
  ACCEPTED_FORMS,
  InvalidInput,
  formatArea,
  formatFeetInches,
  formatFeetInchesPlain,
  formatFeetInchesWithMetric,
  formatMetric,
  parseLengthIn,
  snapIn,
} from '../../static/js/shared/lengths.js';

const vectors = JSON.parse(readFileSync(new URL('../vectors/lengths.json', import.meta.url), 'utf8'));

/** A small repeatable random source, so that a failing value can be had again. @param {number} seed */
function randomFrom(seed) {
  let state = seed;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
}

for (const [text, inches] of vectors.read) {
  test(`“${text}” is ${inches} in`, () => assert.equal(parseLengthIn(text), inches));
}

for (const [text, because] of vectors.refuse) {
  test(`“${text}” is refused: ${because}`, () => {
    assert.throws(() => parseLengthIn(text, { field: 'width' }), (error) => {
      assert.ok(error instanceof InvalidInput);
      assert.equal(error.field, 'width');
      assert.ok(error.message.startsWith('width: '), error.message);
      assert.ok(error.message.includes(because), error.message);
      return true;
    });
  });
}

test('a refusal shows the accepted forms', () => {
  assert.throws(() => parseLengthIn('12 6'), (error) => error.message.endsWith(ACCEPTED_FORMS));
});

test('what is no text and no finite number is refused', () => {
  for (const value of [null, undefined, true, [], {}, NaN, Infinity, -Infinity]) {
    assert.throws(() => parseLengthIn(value), InvalidInput);
  }
});

test('a field that says so refuses a length below its limit', () => {
  assert.equal(parseLengthIn('0', { minimumIn: 0 }), 0);
  assert.throws(() => parseLengthIn('-1/16', { minimumIn: 0 }), /below the limit of 0"/);
});

for (const { inches, typographic, plain } of vectors.write) {
  test(`${inches} in is written ${typographic}`, () => {
    assert.equal(formatFeetInches(inches), typographic);
    assert.equal(formatFeetInchesPlain(inches), plain);
  });
}

for (const { mm, typographic } of vectors.write_from_mm.cases) {
  test(`${mm} mm is ${typographic}`, () => assert.equal(formatFeetInches(mm / 25.4), typographic));
}

for (const [inches, text] of vectors.metric) {
  test(`${inches} in is ${text}`, () => assert.equal(formatMetric(inches), text));
}

test('the metric value stands beside feet and inches', () => {
  assert.equal(formatFeetInchesWithMetric(150.5), `${formatFeetInches(150.5)}\u00a0(3.823\u00a0m)`);
});

for (const [squareInches, text] of vectors.areas) {
  test(`${squareInches} sq in is written ${text}`, () => assert.equal(formatArea(squareInches), text));
}

for (const [value, snapped] of vectors.snap) {
  test(`${value} in lies at ${snapped} in on the lattice`, () => assert.equal(snapIn(value), snapped));
}

test('every point of the lattice comes back from both ways of writing it', () => {
  const random = randomFrom(20261118);
  for (let round = 0; round < 5000; round += 1) {
    const inches = Math.floor((random() - 0.3) * 120000 * 256) / 256;
    for (const write of [formatFeetInches, formatFeetInchesPlain]) {
      assert.equal(parseLengthIn(write(inches, { denominator: 256 })), inches);
    }
  }
});
