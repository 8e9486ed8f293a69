import assert from 'node:assert/strict';
import { test } from 'node:test';
import { Turns } from '../../../static/js/photos/pair/turns.js';

/** Turns with a clock that the test moves. */
function watched() {
  const seen = /** @type {string[]} */ ([]);
  const timers = new Map();
  let last = 0;
  const turns = new Turns({
    onShow: (shown) => seen.push(shown),
    every: (work, ms) => { last += 1; timers.set(last, { work, ms }); return last; },
    stop: (timer) => timers.delete(timer),
  });
  return { turns, seen, timers };
}

test('the earlier picture is shown first, and a change shows the other', () => {
  const { turns, seen } = watched();

  turns.change();
  turns.change();

  assert.deepEqual(seen, ['after', 'before']);
});

test('nothing changes by itself before a person asks for it', () => {
  assert.equal(watched().timers.size, 0);
});

test('they never take turns faster than once a second, whatever is asked', () => {
  for (const asked_ms of [1, 200, 999, 1000, 3000]) {
    const { turns, timers } = watched();

    turns.byThemselves(asked_ms);

    const [{ ms }] = timers.values();
    assert.ok(ms >= 1000, `${asked_ms} ms became ${ms} ms`);
  }
});

test('another pace replaces the first, and none stops it', () => {
  const { turns, timers } = watched();
  turns.byThemselves(1000);

  turns.byThemselves(3000);
  assert.deepEqual([...timers.values()].map(({ ms }) => ms), [3000]);

  turns.byThemselves(0);
  assert.equal(timers.size, 0);
});

test('the other one is shown for as long as it is held, however often a key repeats', () => {
  const { turns, seen } = watched();

  turns.hold();
  turns.hold();
  turns.release();
  turns.release();

  assert.deepEqual(seen, ['after', 'before']);
});
