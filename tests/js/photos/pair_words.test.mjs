import assert from 'node:assert/strict';
import { test } from 'node:test';
import { answerWords, dayText, errorText, leftWords, shownHints, sideWords, strengthWord } from '../../../static/js/photos/pair/words.js';

/** @param {object} [changes] @returns {any} */
const hint = (changes = {}) => ({ number: 1, key: 'a', ring: [], area_sq_in: 1, longest_in: 1, strength: 0.5, mean_delta_e: 10, below_error: false, answer: null, ...changes });
const dismissed = { answer: 'dismissed', reason: 'Dust', by: 'Priya Lund', conflict: false, outline: null };

test('a hint smaller than the error of the laying is shown only when asked for, or once answered', () => {
  const hints = [hint({ key: 'a' }), hint({ key: 'b', below_error: true }), hint({ key: 'c', below_error: true, answer: dismissed })];

  assert.deepEqual(shownHints(hints, false).map(({ key }) => key), ['a', 'c']);
  assert.deepEqual(shownHints(hints, true).map(({ key }) => key), ['a', 'b', 'c']);
});

test('those below the error are not counted as left to answer', () => {
  assert.equal(leftWords([], true), 'No hint was found.');
  assert.equal(leftWords([hint({ below_error: true })], true), 'No hint is left to answer.');
  assert.equal(leftWords([hint(), hint({ answer: dismissed })], true), 'One hint is left to answer.');
  assert.equal(leftWords([hint(), hint()], false), '2 hints are not answered.');
});

test('an answer is told in words, a contradiction before all', () => {
  const outline = { item: 'L17', term: 'paint-loss', standing: 'stands', url: '', item_url: '' };

  assert.equal(answerWords(hint()), 'not answered');
  assert.equal(answerWords(hint({ answer: dismissed })), 'dismissed');
  assert.equal(answerWords(hint({ answer: { ...dismissed, answer: 'accepted', outline } })), 'accepted as L17');
  assert.equal(answerWords(hint({ answer: { ...dismissed, conflict: true } })), 'two answers contradict each other');
});

test('strength falls from strong to faint', () => {
  assert.deepEqual([1, 0.6, 0.59, 0.3, 0.29, 0].map(strengthWord), ['strong', 'strong', 'middling', 'middling', 'faint', 'faint']);
});

test('a day that only the survey tells is told so', () => {
  const side = /** @type {any} */ ({ survey: 'P2', taken_on: '2026-10-19', taken_on_certain: false, light: 'Normal light' });

  assert.equal(dayText('2026-03-04'), '4 Mar 2026');
  assert.equal(sideWords(side), 'P2, 19 Oct 2026 (day of the survey), normal light');
});

test('a small error keeps its digits and is never told as 0.00', () => {
  assert.equal(errorText(0.0003), '± 0.0003 in');
  assert.equal(errorText(0.0161), '± 0.02 in');
});
