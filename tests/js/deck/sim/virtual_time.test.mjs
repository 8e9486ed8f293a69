import assert from 'node:assert/strict';
import { test } from 'node:test';
import { Chance } from './random.mjs';
import { VirtualTime } from './virtual_time.mjs';

test('events happen in the order of their moments, equal ones in the order in which they were asked for', async () => {
  const time = new VirtualTime(0);
  /** @type {string[]} */
  const seen = [];
  for (const [name, at_ms] of /** @type {[string, number][]} */ ([['c', 30], ['a', 10], ['b', 20], ['b2', 20], ['d', 40]])) time.later(() => seen.push(name), at_ms);

  await time.run(35);

  assert.deepEqual(seen, ['a', 'b', 'b2', 'c']);
  assert.equal(time.now_ms, 35);
});

test('a thousand events at drawn moments come in order', async () => {
  const time = new VirtualTime(0);
  const chance = new Chance(7);
  /** @type {number[]} */
  const seen = [];
  for (let count = 0; count < 1000; count += 1) time.later(() => seen.push(time.now_ms), chance.under(500));

  await time.run(500);

  assert.equal(seen.length, 1000);
  assert.deepEqual(seen, [...seen].sort((one, other) => one - other));
});

test('a cancelled event does not happen', async () => {
  const time = new VirtualTime(0);
  let happened = false;
  const cancel = time.later(() => { happened = true; }, 10);

  cancel();
  await time.run(20);

  assert.equal(happened, false);
});

test('the next event waits until every promise has come to rest', async () => {
  const time = new VirtualTime(0);
  /** @type {string[]} */
  const seen = [];
  time.later(async () => {
    for (let round = 0; round < 50; round += 1) await null;
    seen.push('first, after fifty awaits');
  }, 10);
  time.later(() => seen.push('second'), 10);

  await time.run(20);

  assert.deepEqual(seen, ['first, after fifty awaits', 'second']);
});

test('the same seed draws the same numbers and its neighbour others', () => {
  const drawn = (/** @type {number} */ seed) => {
    const chance = new Chance(seed);
    return Array.from({ length: 20 }, () => chance.under(1000));
  };

  assert.deepEqual(drawn(1), drawn(1));
  assert.notDeepEqual(drawn(1), drawn(2));
});
