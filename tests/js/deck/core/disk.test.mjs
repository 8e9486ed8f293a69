import assert from 'node:assert/strict';
import { test } from 'node:test';
import { openDB } from 'idb';
import { DiskFailed, IdbDisk, STORES } from '../../../../static/js/deck/core/disk.js';
import { WAYS, failWrites, faults } from './failing_writes.mjs';
import { diskNamed, freshName } from './tablet.mjs';

/** @param {import('../../../../static/js/deck/core/disk.js').Disk} disk @param {any} value */
const put = (disk, value) => disk.run(['meta'], 'readwrite', (tx) => tx.put('meta', value));
/** @param {import('../../../../static/js/deck/core/disk.js').Disk} disk @param {string} key */
const get = (disk, key) => disk.run(['meta'], 'readonly', (tx) => tx.get('meta', key));

test('every store of the contract is there with its key', async () => {
  const name = freshName();
  await get(diskNamed(name), 'x');

  const database = await openDB(name);
  const found = Object.fromEntries([...database.objectStoreNames].map((store) => [store, database.transaction(store).store.keyPath]));
  database.close();

  assert.deepEqual(found, STORES);
});

test('work resolves only after the transaction has completed', async () => {
  const disk = diskNamed(freshName());
  await get(disk, 'a');
  let completed = false;
  const raw = IDBDatabase.prototype.transaction;
  IDBDatabase.prototype.transaction = function watched(...request) {
    const made = raw.apply(this, request);
    made.addEventListener('complete', () => { completed = true; });
    return made;
  };

  await put(disk, { key: 'a', value: 1 }).finally(() => { IDBDatabase.prototype.transaction = raw; });

  assert.equal(completed, true);
});

test('transactions are strictly durable', async () => {
  const disk = diskNamed(freshName());
  await get(disk, 'a');
  const asked = [];
  const raw = IDBDatabase.prototype.transaction;
  IDBDatabase.prototype.transaction = function watched(...request) {
    asked.push(request[2]?.durability);
    return raw.apply(this, request);
  };

  await put(disk, { key: 'a', value: 1 }).finally(() => { IDBDatabase.prototype.transaction = raw; });

  assert.deepEqual(asked, ['strict']);
});

for (const way of WAYS.filter((each) => each !== 'full at commit')) {
  test(`a write that ${way} is replayed and is then there`, async () => {
    const disk = diskNamed(freshName());
    await put(disk, { key: 'a', value: 1 });
    failWrites({ at: 1, way });

    await put(disk, { key: 'a', value: 2 });

    failWrites();
    assert.equal((await get(disk, 'a')).value, 2);
  });

  test(`a disk on which every write ${way} is told after two failures`, async () => {
    /** @type {DiskFailed[]} */
    const told = [];
    const disk = diskNamed(freshName(), (error) => told.push(error));
    await put(disk, { key: 'a', value: 1 });
    failWrites({ at: 1, way, lasting: true });

    await assert.rejects(put(disk, { key: 'a', value: 2 }), (error) => error instanceof DiskFailed && !error.full);

    assert.equal(faults.struck, 2);
    failWrites();
    assert.equal(told.length, 1);
    assert.equal((await get(disk, 'a')).value, 1);
  });
}

test('a full disk is told at once and in words, and nothing of the work stands', async () => {
  const told = [];
  const disk = diskNamed(freshName(), (error) => told.push(error));
  failWrites({ at: 2, way: 'full at commit' });

  await assert.rejects(disk.run(['meta'], 'readwrite', async (tx) => {
    await tx.put('meta', { key: 'a' });
    await tx.put('meta', { key: 'b' });
  }), (error) => error instanceof DiskFailed && error.full && /disk of this tablet is full/.test(error.message));

  failWrites();
  assert.deepEqual([await get(disk, 'a'), await get(disk, 'b'), told.length], [undefined, undefined, 1]);
});

test('a connection closed in the background is opened again', async () => {
  const disk = diskNamed(freshName());
  await put(disk, { key: 'a', value: 1 });
  (await disk.opening).close();

  await put(disk, { key: 'b', value: 2 });

  assert.equal((await get(disk, 'b')).value, 2);
});

test('a transaction that hangs is given up and replayed', async () => {
  /** @type {(() => void)[]} */
  const timers = [];
  const disk = new IdbDisk({ openDB, name: freshName(), later: (work) => { timers.push(work); return () => {}; } });
  await put(disk, { key: 'a', value: 1 });
  const raw = IDBObjectStore.prototype.put;
  IDBObjectStore.prototype.put = function silent() {
    IDBObjectStore.prototype.put = raw;
    queueMicrotask(() => timers.forEach((work) => work()));
    return raw.call(this, { key: 'a', value: 2 });
  };

  await put(disk, { key: 'a', value: 3 });

  assert.equal((await get(disk, 'a')).value, 3);
});

test('what the work itself throws is no fault of the disk, and undoes the work', async () => {
  const told = [];
  const disk = diskNamed(freshName(), (error) => told.push(error));
  let runs = 0;

  await assert.rejects(disk.run(['meta'], 'readwrite', async (tx) => {
    runs += 1;
    await tx.put('meta', { key: 'a' });
    throw new RangeError('no such cell');
  }), /no such cell/);

  assert.deepEqual([runs, told.length, await get(disk, 'a')], [1, 0, undefined]);
});

test('a page that keeps an older store open is named, and work goes on once it is closed', async () => {
  const name = freshName();
  let isBlocked = true;
  /** @type {any} */
  const stuck = (...request) => (isBlocked ? (request[2].blocked(1, 2, {}), new Promise(() => {})) : openDB(.../** @type {Parameters<typeof openDB>} */ (request)));
  const disk = new IdbDisk({ openDB: stuck, name });

  await assert.rejects(put(disk, { key: 'a' }), (error) => error instanceof DiskFailed && /Close the other page/.test(error.message));
  isBlocked = false;
  await put(disk, { key: 'a' });

  assert.deepEqual(await get(disk, 'a'), { key: 'a' });
});

test('a newer page may change the stores, and the older one then says what to do', async () => {
  const name = freshName();
  const disk = diskNamed(name);
  await put(disk, { key: 'a' });

  const newer = await openDB(name, 2);

  await assert.rejects(put(disk, { key: 'b' }), (error) => error instanceof DiskFailed && /newer page of the deck/.test(error.message));
  newer.close();
});

test('rows come in the order of their keys, between bounds, and the last key is known', async () => {
  const disk = diskNamed(freshName());
  await disk.run(['steps', 'outbox'], 'readwrite', async (tx) => {
    for (const n of [10, 2, 1]) await tx.put('steps', { draft: 'a', n });
    await tx.put('steps', { draft: 'b', n: 1 });
    for (const device_seq of [3, 12, 5]) await tx.put('outbox', { device_seq });
  });

  const found = await disk.run(['steps', 'outbox', 'acts'], 'readonly', async (tx) => ({
    steps: (await tx.all('steps', [['a', 0], ['a', Infinity]])).map(({ n }) => n),
    last: await tx.lastKey('outbox'), none: await tx.lastKey('acts'), count: await tx.count('outbox'),
  }));

  assert.deepEqual(found, { steps: [1, 2, 10], last: 12, none: undefined, count: 3 });
});
