import assert from 'node:assert/strict';
import { test } from 'node:test';
import { DiskHandle, MemoryDisk, QuotaReached } from './memory_disk.mjs';
import { atRest } from './virtual_time.mjs';

/** A disk and a page on it that dies at its nth point. */
function paged(diesAt = Infinity) {
  const disk = new MemoryDisk(async () => {});
  let points = 0;
  return { disk, handle: new DiskHandle(disk, () => ++points < diesAt) };
}

/** @param {DiskHandle} handle @param {string[]} keys */
function write(handle, keys) {
  return handle.run(['meta', 'pack'], 'readwrite', async (tx) => {
    for (const key of keys) await tx.put('meta', { key, value: 1 });
    await tx.put('pack', { name: keys.join() });
  });
}

test('what a transaction wrote is there whole after it', async () => {
  const { disk, handle } = paged();

  await write(handle, ['b', 'a']);

  assert.deepEqual(disk.values('meta').map(({ key }) => key), ['a', 'b']);
  assert.deepEqual(disk.values('pack'), [{ name: 'b,a' }]);
});

test('a page that dies before the commit leaves nothing, after it everything, and hears of neither', async () => {
  for (const [diesAt, kept] of [[1, 0], [2, 0], [3, 1]]) {
    const { disk, handle } = paged(diesAt);
    let told = false;

    void write(handle, ['a']).then(() => { told = true; });
    await atRest();

    assert.equal(disk.values('meta').length, kept);
    assert.equal(told, false);
  }
});

test('a write that is lost once is done again, one that is lost twice is refused and leaves nothing', async () => {
  for (const [losses, kept] of [[1, 1], [2, 0]]) {
    const { disk, handle } = paged();
    disk.failing = (commit) => (commit <= losses ? new Error('lost') : null);

    const outcome = await write(handle, ['a']).then(() => 'kept', (fault) => fault.name);

    assert.equal(outcome, kept ? 'kept' : 'DiskFailed');
    assert.equal(disk.values('meta').length, kept);
  }
});

test('at the quota the whole transaction is refused at once', async () => {
  const { disk, handle } = paged();
  await write(handle, ['a']);
  disk.quota_bytes = disk.bytes + 10;

  await assert.rejects(write(handle, ['b', 'c']), (/** @type {any} */ fault) => fault.full && fault.cause instanceof QuotaReached);

  assert.deepEqual(disk.values('meta').map(({ key }) => key), ['a']);
});

test('transactions of two pages wait for each other', async () => {
  const { disk, handle } = paged();
  const other = paged().handle;
  other.disk = disk;
  const next = async (/** @type {any} */ tx) => {
    const n = ((await tx.lastKey('acts')) ?? 0) + 1;
    await tx.put('acts', { n });
    return n;
  };

  const numbers = await Promise.all([handle, other, handle, other].map((page) => page.run(['acts'], 'readwrite', next)));

  assert.deepEqual([...numbers].sort(), [1, 2, 3, 4]);
});

test('work that waits for anything but its transaction is refused', async () => {
  const { disk, handle } = paged();

  const waiting = handle.run(['meta'], 'readwrite', async (tx) => {
    await tx.put('meta', { key: 'a' });
    await atRest();
  });

  await assert.rejects(waiting, /awaited something else/);
  assert.equal(disk.values('meta').length, 0);
});

test('a value changed in memory after it was put stays on the disk as it was', async () => {
  const { disk, handle } = paged();
  const value = { key: 'a', points: [1, 2] };

  await handle.run(['meta'], 'readwrite', async (tx) => {
    await tx.put('meta', value);
    value.points.push(3);
  });

  assert.deepEqual(disk.read('meta', 'a').points, [1, 2]);
});

test('all values come in the order of keys of several parts, within bounds', async () => {
  const { handle } = paged();

  const found = await handle.run(['steps'], 'readwrite', async (tx) => {
    for (const n of [10, 9, 2]) for (const draft of ['b', 'a']) await tx.put('steps', { draft, n });
    return tx.all('steps', [['a', 3], ['a', Infinity]]);
  });

  assert.deepEqual(found, [{ draft: 'a', n: 9 }, { draft: 'a', n: 10 }]);
});
