import assert from 'node:assert/strict';
import { test } from 'node:test';
import { reserveOf } from '../../../../static/js/deck/core/photographs.js';
import { askToPersist, bytesText, countText, judgePersistence, judgeRoom, OUTLINE_BYTES, OUTLINES_NEEDED, PHOTOGRAPH_BYTES, PHOTOGRAPHS_NEEDED, probeDisk, roomFor } from '../../../../static/js/deck/prepare/fitness.js';

/** A disk of one row, which can be told to spoil what it keeps. */
function disk({ spoil = (row) => row, refuse = false } = {}) {
  const rows = new Map();
  const tx = {
    put: (_, row) => { if (refuse) throw new Error('QuotaExceededError'); rows.set(row.key, spoil(structuredClone(row))); },
    get: (_, key) => rows.get(key),
    delete: (_, key) => rows.delete(key),
  };
  return { rows, run: async (_stores, _mode, work) => work(tx) };
}

const chance = (part) => part.forEach((_, at) => { part[at] = (at * 7) % 251; });

test('a disk that gives the same bytes back is in order, and the block is gone afterwards', async () => {
  const sound = disk();

  const finding = await probeDisk(sound, chance);

  assert.equal(finding.fit, true);
  assert.equal(sound.rows.size, 0);
});

test('a disk that changes one byte is found out', async () => {
  const finding = await probeDisk(disk({ spoil: (row) => { row.block[777_777] ^= 1; return row; } }), chance);

  assert.equal(finding.fit, false);
  assert.match(finding.message, /take another one/);
});

test('a disk that keeps only part of the block is found out', async () => {
  const finding = await probeDisk(disk({ spoil: (row) => ({ ...row, block: row.block.slice(0, 1000) }) }), chance);

  assert.equal(finding.fit, false);
});

test('a disk that takes nothing says why and what to do', async () => {
  const finding = await probeDisk(disk({ refuse: true }), chance);

  assert.equal(finding.fit, false);
  assert.match(finding.message, /QuotaExceededError.*free room/);
});

/** The least that a browser must allow when nothing else is on the tablet. */
const needed = (quota) => Math.max(OUTLINES_NEEDED * OUTLINE_BYTES, reserveOf(quota)) + PHOTOGRAPHS_NEEDED * PHOTOGRAPH_BYTES;

test('room is enough exactly when the outlines and photographs of a survey fit', () => {
  for (const quota of [300e6, 2e9, 60e9]) {
    const usage = quota - needed(quota) - 400;

    assert.equal(judgeRoom(roomFor({ quota, usage }, 400)).fit, true);
    assert.equal(judgeRoom(roomFor({ quota, usage: usage + 1 }, 400)).fit, false);
  }
});

test('photographs are counted only beside the room that the log keeps for outlines', () => {
  const quota = 1e9;

  assert.equal(roomFor({ quota, usage: quota - reserveOf(quota) - 3 * PHOTOGRAPH_BYTES }, 0).photographs, 3);
  assert.equal(roomFor({ quota, usage: quota - reserveOf(quota) }, 0).photographs, 0);
});

test('a browser that does not tell its room does not go up', () => {
  assert.equal(judgeRoom(roomFor({}, 0)).fit, false);
});

test('more used than allowed leaves no room, not less than none', () => {
  const { free_bytes, photographs } = roomFor({ quota: 10, usage: 20 }, 5);

  assert.deepEqual({ free_bytes, photographs }, { free_bytes: 0, photographs: 0 });
});

test('only a granted wish to keep the store is in order', async () => {
  const storage = (persisted, persist) => ({ persisted: async () => persisted, persist: async () => persist });

  assert.equal(await askToPersist(storage(true, false)), 'granted');
  assert.equal(await askToPersist(storage(false, true)), 'granted');
  assert.equal(await askToPersist(storage(false, false)), 'refused');
  assert.equal(await askToPersist(undefined), 'unknown');
  assert.deepEqual(['granted', 'refused', 'unknown'].map((answer) => judgePersistence(answer).fit), [true, false, false]);
});

test('a browser that fails when it is asked has refused', async () => {
  assert.equal(await askToPersist({ persisted: async () => false, persist: () => Promise.reject(new TypeError('no')) }), 'refused');
});

test('sizes and counts are said in words a person can compare', () => {
  assert.deepEqual([999, 1_500_000, 25_400_000, 3_210_000_000, 64_000_000_000].map(bytesText), ['1 kB', '1.5 MB', '25 MB', '3.2 GB', '64 GB']);
  assert.deepEqual([7, 99, 123, 4567].map(countText), ['7', '99', '120', '4,500']);
});
