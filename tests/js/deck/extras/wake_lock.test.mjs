import assert from 'node:assert/strict';
import { test } from 'node:test';
import { WakeKeeper } from '../../../../static/js/deck/extras/wake_lock.js';

/** A browser's wake lock as the Screen Wake Lock API describes it: released whenever the page is hidden. */
function surroundings({ refuses = 0 } = {}) {
  const page = { visibilityState: 'visible', /** @type {(() => void)[]} */ listeners: [], addEventListener(/** @type {string} */ name, /** @type {() => void} */ work) { if (name === 'visibilitychange') this.listeners.push(work); } };
  /** @type {{held: any, asked: number, later: (() => void)[]}} */
  const told = { held: null, asked: 0, later: [] };
  let left = refuses;
  const wakeLock = { async request() {
    told.asked += 1;
    if (left-- > 0) throw new DOMException('low battery', 'NotAllowedError');
    const lock = Object.assign(new EventTarget(), { async release() { told.held = null; this.dispatchEvent(new Event('release')); } });
    told.held = lock;
    return lock;
  } };
  const show = async (/** @type {string} */ state) => {
    page.visibilityState = state;
    if (state === 'hidden') await told.held?.release();
    for (const work of page.listeners) work();
    await settled();
  };
  return { page, told, wakeLock, show, later: (/** @type {() => void} */ work) => told.later.push(work) };
}

const settled = () => new Promise((resolve) => setImmediate(resolve));

/** @param {any} around @param {any} [wakeLock] */
function keeperOf(around, wakeLock = around.wakeLock) {
  /** @type {string[]} */
  const states = [];
  return { keeper: new WakeKeeper({ wakeLock, document: around.page, later: around.later }, (state) => states.push(state)), states };
}

test('the screen stays lit while it is wanted and not after', async () => {
  const around = surroundings();
  const { keeper, states } = keeperOf(around);

  await keeper.want(true);
  assert.ok(around.told.held);
  await keeper.want(false);

  assert.equal(around.told.held, null);
  assert.deepEqual(states, ['kept', 'not wanted']);
});

test('a page that was hidden asks again when it is seen', async () => {
  const around = surroundings();
  const { keeper } = keeperOf(around);
  await keeper.want(true);

  await around.show('hidden');
  assert.equal(around.told.held, null);
  await around.show('visible');

  assert.ok(around.told.held);
});

test('a page that is seen again without a session asks for nothing', async () => {
  const around = surroundings();
  keeperOf(around);

  await around.show('hidden');
  await around.show('visible');

  assert.equal(around.told.asked, 0);
});

test('a refusal is told and tried again', async () => {
  const around = surroundings({ refuses: 1 });
  const { keeper, states } = keeperOf(around);

  await keeper.want(true);
  assert.deepEqual(states, ['refused']);
  around.told.later.forEach((work) => work());
  await settled();

  assert.ok(around.told.held);
});

test('a browser without a wake lock is named as one', async () => {
  const around = surroundings();
  const { keeper, states } = keeperOf(around, null);

  await keeper.want(true);

  assert.deepEqual(states, ['none']);
});
