import assert from 'node:assert/strict';
import { test } from 'node:test';
import { AnswerGuard, READING_MS } from '../../../../static/js/deck/round/answer_guard.js';

test('a second tap in the same place does not answer the outline that came up under it', async () => {
  let now_ms = 0;
  const guard = new AnswerGuard(() => now_ms);
  let answers = 0;
  const answer = () => { answers += 1; guard.shown(); };
  await guard.once(answer);
  now_ms += 120;

  assert.equal(await guard.once(answer), false);
  assert.equal(answers, 1);
});

test('after the time of reading the next answer is taken', async () => {
  let now_ms = 0;
  const guard = new AnswerGuard(() => now_ms);
  guard.shown();
  now_ms += READING_MS;

  assert.equal(await guard.once(() => {}), true);
});

test('while an answer is being kept no other is taken', async () => {
  const guard = new AnswerGuard(() => 0);
  /** @type {() => void} */
  let finish = () => {};
  const first = guard.once(() => new Promise((resolve) => { finish = () => resolve(undefined); }));

  assert.equal(await guard.once(() => {}), false);
  finish();
  assert.equal(await first, true);
});

test('an answer that could not be kept leaves the way free for the next try', async () => {
  const guard = new AnswerGuard(() => 0);
  await assert.rejects(guard.once(() => { throw new Error('The disk is full.'); }));

  assert.equal(await guard.once(() => {}), true);
});
