import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';
import { test } from 'node:test';
import { checkPicture, readPackBytes, resolutionsOf, sizeFor } from '../../../../static/js/deck/prepare/download.js';

const digestHex = async (text) => createHash('sha256').update(text).digest('hex');
const bytesOf = (text) => new TextEncoder().encode(text).buffer;

/** Members in the order of RFC 8785, so that node's own JSON is the canonical text. */
const CONTENT = { boot: { wall: { name: 'Harvest' } }, contract: 1, due: ['C17', 'C18'], pictures: [] };
const PACK = JSON.stringify({ ...CONTENT, pack: createHash('sha256').update(JSON.stringify(CONTENT)).digest('hex') });

test('a whole pack is taken', async () => {
  const pack = await readPackBytes(bytesOf(PACK), digestHex);

  assert.deepEqual(pack.due, ['C17', 'C18']);
});

test('a pack cut off at any byte is refused', async () => {
  for (let end = 0; end < PACK.length; end += 1) {
    await assert.rejects(readPackBytes(bytesOf(PACK.slice(0, end)), digestHex), /cut off or damaged/);
  }
});

test('a pack in which one cell was changed on the way is refused', async () => {
  await assert.rejects(readPackBytes(bytesOf(PACK.replace('C18', 'C19')), digestHex), /differs from the digest/);
});

test('a pack of bytes that are no text is refused', async () => {
  await assert.rejects(readPackBytes(Uint8Array.from([0xff, 0xfe, 0x00]).buffer, digestHex), /cut off or damaged/);
});

test('a pack of a later contract is refused with both versions named', async () => {
  await assert.rejects(readPackBytes(bytesOf(PACK.replace('"contract":1', '"contract":2')), digestHex), /version 2.*version 1/);
});

test('a picture that does not begin and end as a JPEG does is refused', () => {
  // source: ISO/IEC 10918-1, annex B: SOI is FF D8, EOI is FF D9.
  const whole = Uint8Array.from([0xff, 0xd8, 1, 2, 3, 0xff, 0xd9]);

  checkPicture(whole.buffer, 'W1');
  assert.throws(() => checkPicture(whole.slice(0, 6).buffer, 'W1'), /W1 came cut off/);
  assert.throws(() => checkPicture(whole.slice(1).buffer, 'W1'), /W1 came cut off/);
  assert.throws(() => checkPicture(new ArrayBuffer(0), 'W1'), /W1 came cut off/);
});

test('a resolution says what all pictures take and what the poorest gives', () => {
  const pictures = [
    { sizes: [{ width_px: 1024, bytes_estimate: 100, px_per_in: 2 }, { width_px: 2048, bytes_estimate: 400, px_per_in: 4 }] },
    { sizes: [{ width_px: 1024, bytes_estimate: 50, px_per_in: 1.5 }] },
  ];

  assert.deepEqual(resolutionsOf(pictures), [{ width_px: 1024, bytes: 150, px_per_in: 1.5 }, { width_px: 2048, bytes: 450, px_per_in: 1.5 }]);
});

test('a picture that has nothing as coarse as wished comes at its coarsest', () => {
  assert.equal(sizeFor({ sizes: [{ width_px: 4096 }, { width_px: 2048 }] }, 1024).width_px, 2048);
});
