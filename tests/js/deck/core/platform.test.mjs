import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';
import { afterEach, test } from 'node:test';
import { browserPlatform } from '../../../../static/js/deck/core/platform.js';

const real = { navigator: Object.getOwnPropertyDescriptor(globalThis, 'navigator'), crypto: Object.getOwnPropertyDescriptor(globalThis, 'crypto') };

/** @param {'navigator' | 'crypto'} name @param {any} value */
function stand(name, value) {
  Object.defineProperty(globalThis, name, { value, configurable: true });
}

afterEach(() => {
  for (const [name, descriptor] of Object.entries(real)) if (descriptor) Object.defineProperty(globalThis, name, descriptor);
});

test('digests are those of the platform, also on a page without TLS', async () => {
  // source: node:crypto (OpenSSL).
  stand('navigator', {});
  const { digestHex } = browserPlatform();
  const bytes = new Uint8Array([0, 255, 7]);
  const expected = ['Żywiec ½″', bytes].map((data) => createHash('sha256').update(data).digest('hex'));

  assert.deepEqual([await digestHex('Żywiec ½″'), await digestHex(bytes), await digestHex(bytes.buffer.slice(0))], [...expected, expected[1]]);
  stand('crypto', {});
  assert.deepEqual([await digestHex('Żywiec ½″'), await digestHex(bytes)], expected);
});

test('a lock is had by one at a time, and is free again after a failure', async () => {
  stand('navigator', {});
  const { withLock } = browserPlatform();
  const other = [];

  const had = await withLock('a', async () => {
    other.push(await withLock('a', async () => 'both'), await withLock('b', async () => 'another'));
    return 'one';
  });
  await assert.rejects(withLock('a', async () => { throw new Error('broken'); }), /broken/);

  assert.deepEqual([had, other, await withLock('a', async () => 'again')], ['one', [undefined, 'another'], 'again']);
});

test('the lock among tabs is asked for without waiting for it', async () => {
  const asked = [];
  stand('navigator', { locks: { request: async (name, options, work) => { asked.push([name, options]); return work(asked.length === 1 ? {} : null); } } });
  const { withLock } = browserPlatform();

  assert.deepEqual([await withLock('a', async () => 1), await withLock('a', async () => 2)], [1, undefined]);
  assert.deepEqual(asked[0], ['a', { ifAvailable: true }]);
});

test('room is what the browser says, or not known', async () => {
  stand('navigator', { storage: { estimate: async () => ({ usage: 3, quota: 10 }) } });
  assert.deepEqual(await browserPlatform().room?.(), { usage: 3, quota: 10 });
  stand('navigator', {});
  assert.equal(await browserPlatform().room?.(), null);
});

test('a timer can be taken back', async () => {
  stand('navigator', {});
  const { later } = browserPlatform();
  const done = [];

  later(() => done.push('cancelled'), 1)();
  await new Promise((resolve) => later(() => resolve(done.push('kept')), 5));

  assert.deepEqual(done, ['kept']);
});
