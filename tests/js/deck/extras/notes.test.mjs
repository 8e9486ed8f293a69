import assert from 'node:assert/strict';
import { test } from 'node:test';
import { cellsAround } from '../../../../static/js/deck/extras/cells_around.js';
import { fragmentBody, suggestedBag, troubleWithFragment } from '../../../../static/js/deck/extras/fragment_body.js';
import { standing } from '../../../../static/js/deck/extras/kept_here.js';
import { photographBody, pictureKind, refusal, roomText } from '../../../../static/js/deck/extras/photograph_note.js';

/** @param {...(number | string)} parts */
const bytesOf = (...parts) => new Uint8Array(parts.flatMap((part) => (typeof part === 'string' ? [...part].map((letter) => letter.charCodeAt(0)) : [part]))).buffer;

test('kinds of picture are told by their first bytes', () => {
  // source: ITU-T T.81 annex B (JPEG SOI), W3C PNG 5.2, TIFF 6.0 section 2, WebP container specification, ISO/IEC 23008-12 brands.
  assert.equal(pictureKind(bytesOf(0xFF, 0xD8, 0xFF, 0xE0)), 'image/jpeg');
  assert.equal(pictureKind(bytesOf(0x89, 'PNG', 0x0D, 0x0A, 0x1A, 0x0A)), 'image/png');
  assert.equal(pictureKind(bytesOf('II', 0x2A, 0)), 'image/tiff');
  assert.equal(pictureKind(bytesOf('RIFF', 0, 0, 0, 0, 'WEBP')), 'image/webp');
  assert.equal(pictureKind(bytesOf(0, 0, 0, 24, 'ftypheic')), 'image/heic');
});

test('text, a film and an empty file are no photograph', () => {
  assert.equal(pictureKind(bytesOf('%PDF-1.7')), null);
  assert.equal(pictureKind(bytesOf(0, 0, 0, 24, 'ftypisom')), null);
  assert.equal(pictureKind(new ArrayBuffer(0)), null);
});

test('a refusal says what to do, and that nothing was kept', () => {
  assert.match(refusal({ name: 'list.pdf', size_bytes: 9, kind: null }), /"list.pdf" is no photograph.*nothing was kept/);
  assert.match(refusal({ name: 'a.heic', size_bytes: 9, kind: 'image/heic' }), /Set the camera to JPEG/);
  assert.match(refusal({ name: 'a.jpg', size_bytes: 9, kind: 'image/jpeg' }), /cannot be read to its end/);
  assert.match(refusal({ name: 'a.jpg', size_bytes: 0, kind: null }), /empty/);
});

test('a photograph of the tablet is a note with its cell, size and hand', () => {
  const body = photographBody({ digest: 'd', size_bytes: 9, mime: 'image/jpeg', width_px: 40, height_px: 30, cell: 'C17', mode: 'raking', lamp_side: 'left', taken_at: '2026-11-18T09:00:05.120000Z', operator: 'Tomas Sedge', note: ' edge ' });

  assert.deepEqual(body, { digest: 'd', size_bytes: 9, mime: 'image/jpeg', width_px: 40, height_px: 30, mode: 'raking', taken_at: '2026-11-18T09:00:05.120000Z', operator: 'Tomas Sedge', name: 'note C17 2026-11-18 09-00-05', role: 'note', lamp_side: 'left', note: 'Cell C17. edge' });
});

test('room is told in photographs of the size taken so far, but never of less than the usual one', () => {
  assert.match(roomText({ room_bytes: 100_000_000, sizes_bytes: [9_000_000, 11_000_000] }), /about 10 photographs/);
  assert.match(roomText({ room_bytes: 100_000_000, sizes_bytes: [80_000] }), /about 25 photographs/);
  assert.match(roomText({ room_bytes: 5_000_000, sizes_bytes: [] }), /about 1 photograph;/);
  assert.match(roomText({ room_bytes: 1_000, sizes_bytes: [] }), /No room for another photograph/);
  assert.match(roomText({ room_bytes: null, sizes_bytes: [] }), /does not say/);
});

test('a bag gets the next free label of its cell', () => {
  assert.equal(suggestedBag({ survey: 'W1', cell: 'C17', taken: ['W1-C17-F1', 'W1-C17-F2', 'W1-C18-F3'] }), 'W1-C17-F3');
});

test('a fragment without label, with a label in use or with half a piece is not kept', () => {
  const fine = { bag: 'W1-C17-F1', count: 3, weight_g: 0.4, taken: [] };

  assert.equal(troubleWithFragment(fine), '');
  assert.match(troubleWithFragment({ ...fine, bag: ' ' }), /no label/);
  assert.match(troubleWithFragment({ ...fine, taken: ['W1-C17-F1'] }), /kept already/);
  assert.match(troubleWithFragment({ ...fine, count: 1.5 }), /whole number/);
});

test('a fragment states what was said and leaves out the rest', () => {
  assert.deepEqual(fragmentBody({ bag: ' W1-C17-F1 ', cell: 'C17', found_on: '2026-11-18', place_below: 'debris tray', layer: '', count: null, weight_g: 0, photographs: ['d'] }),
    { bag: 'W1-C17-F1', cell: 'C17', found_on: '2026-11-18', place_below: 'debris tray', weight_g: 0, photographs: ['d'] });
});

test('cells on offer are the neighbours and those wanted, in reading order', () => {
  const labels = ['A01', 'A02', 'A03', 'B01', 'B02', 'B03'];
  const plan = { labels, neighbour: (/** @type {string} */ label, /** @type {number} */ right, /** @type {number} */ up) => {
    const at = labels.indexOf(label);
    const [column, row] = [Math.min(2, Math.max(0, (at % 3) + right)), Math.min(1, Math.max(0, Math.floor(at / 3) - up))];
    return labels[row * 3 + column];
  } };

  assert.deepEqual(cellsAround(plan, ['A01'], ['B03']), ['A01', 'A02', 'B01', 'B02', 'B03']);
  assert.deepEqual(cellsAround(plan, ['Z99']), []);
});

test('an entry that another one names as its parent stands no more', () => {
  const row = (/** @type {string} */ id, /** @type {string} */ made_at, /** @type {string[]} */ parents = [], own = true) => /** @type {any} */ ({ id, kind: 'spot-reading', made_at, parents, own });
  const rows = [row('first', '2026-11-18T09:00:00Z'), row('second', '2026-11-18T09:01:00Z', ['first']), row('before', '2026-11-17T09:00:00Z'), row('theirs', '2026-11-18T09:02:00Z', [], false)];

  assert.deepEqual(standing(rows, { kind: 'spot-reading', from: '2026-11-18' }).map(({ id }) => id), ['second']);
  assert.deepEqual(standing(rows, { kind: 'spot-reading', from: '', own: false }).map(({ id }) => id), ['theirs', 'second', 'before']);
});
