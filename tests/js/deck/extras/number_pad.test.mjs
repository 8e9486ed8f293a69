import assert from 'node:assert/strict';
import { test } from 'node:test';
import fc from 'fast-check';
import { PAD_KEYS, numberOf, textOf, typed } from '../../../../static/js/deck/extras/number_pad.js';

/** @param {string[]} keys */
const press = (...keys) => keys.reduce(typed, '');

test('keys make the number that they spell', () => {
  assert.equal(press('1', '2', '.', '5'), '12.5');
  assert.equal(numberOf('12.5'), 12.5);
});

test('a point alone begins below one', () => {
  assert.equal(press('.', '3'), '0.3');
});

test('a second point changes nothing', () => {
  assert.equal(press('1', '.', '2', '.', '3'), '1.23');
});

test('a nought before whole digits goes', () => {
  assert.equal(press('0', '7'), '7');
  assert.equal(press('0', '.', '7'), '0.7');
});

test('the sign turns a number over and back, and signs no empty pad', () => {
  assert.equal(press('4', 'sign'), '-4');
  assert.equal(press('4', 'sign', 'sign'), '4');
  assert.equal(press('sign'), '');
});

test('deleting takes one key back and leaves no lone sign', () => {
  assert.equal(press('1', '2', 'back'), '1');
  assert.equal(press('4', 'sign', 'back'), '');
});

test('an empty pad and a lone sign are no number', () => {
  assert.equal(numberOf(''), null);
  assert.equal(numberOf('-'), null);
});

test('a number that ends in its point is that number', () => {
  assert.equal(numberOf('12.'), 12);
});

test('whatever keys are hit, the pad shows nothing or one finite number of at most nine digits', () => {
  const keys = fc.array(fc.constantFrom(...PAD_KEYS.flat(), 'sign'), { maxLength: 30 });

  fc.assert(fc.property(keys, (hit) => {
    const text = hit.reduce(typed, '');
    return text === '' || (Number.isFinite(numberOf(text)) && text.replace(/\D/g, '').length <= 10);
  }));
});

test('a kept number comes back to the pad as it was typed', () => {
  fc.assert(fc.property(fc.integer({ min: -99_999_999, max: 99_999_999 }), (hundredths) => numberOf(textOf(hundredths / 100)) === hundredths / 100));
});
