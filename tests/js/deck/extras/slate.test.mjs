import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import fc from 'fast-check';
import { qrcode } from 'qrcode-generator';
import { pathOf, patternOf } from '../../../../static/js/deck/extras/slate_code.js';
import { SLATE_STEP_MS, readSlate, slateMoment, slateText, slatesNote } from '../../../../static/js/deck/extras/slate_text.js';

const SLATE = { wall: 'harvest-train', survey: 'W1', cell: 'C17', mode: 'raking', side: 'left', at: '2026-11-18T09:00:00Z', number: 7 };

test('a slate is one line with eight fields', () => {
  assert.equal(slateText(SLATE), 'PONTATA1|harvest-train|W1|C17|raking|left|2026-11-18T09:00:00Z|7');
});

test('what a slate says can be read back, whatever stands in its fields', () => {
  const text = fc.string({ unit: 'grapheme', maxLength: 20 });

  fc.assert(fc.property(fc.record({ wall: text, survey: text, cell: text, mode: text, side: text, at: text, number: fc.nat() }, { noNullPrototype: true }), (slate) => {
    assert.deepEqual(readSlate(slateText(slate)), slate);
  }));
});

test('the line is plain ASCII, so that every reader takes the same bytes', () => {
  assert.match(slateText({ ...SLATE, cell: 'Ä|7' }), /^[\x20-\x7E]+$/);
});

test('another pattern in the picture is none of ours', () => {
  assert.equal(readSlate('WIFI:S:works;T:WPA;;'), null);
  assert.equal(readSlate('PONTATA1|only|three'), null);
  assert.equal(readSlate(slateText(SLATE).replace('PONTATA1', 'PONTATA9')), null);
});

test('the clock of the slate moves on every five seconds', () => {
  assert.equal(slateMoment(12_345), 10_000);
  assert.equal(slateMoment(10_000 + SLATE_STEP_MS), 10_000 + SLATE_STEP_MS);
});

test('the pattern has the size and the three eyes that the standard gives it', () => {
  // source: ISO/IEC 18004, 5.3.1: version n has 17 + 4 n squares a side; 5.3.3: eyes of 7 by 7 in three corners.
  const pattern = patternOf(slateText(SLATE), qrcode);
  const eye = ['#######', '#.....#', '#.###.#', '#.###.#', '#.###.#', '#.....#', '#######'];
  const corner = (x, y) => eye.map((_, row) => pattern[y + row].slice(x, x + 7).map((dark) => (dark ? '#' : '.')).join(''));

  const far = pattern.length - 7;

  assert.equal((pattern.length - 17) % 4, 0);
  assert.deepEqual([corner(0, 0), corner(far, 0), corner(0, far)], [eye, eye, eye]);
});

test('the path darkens each dark square once, beyond the blank margin of four squares', () => {
  const pattern = [[true, true, false], [false, false, false], [false, true, true]];

  assert.equal(pathOf(pattern), 'M4 4h2v1h-2zM5 6h2v1h-2z');
});

test('the session notes each slate with its number, place, light and times', () => {
  const shown = [{ number: 7, cell: 'C17', mode: 'raking', side: 'left', from: '2026-11-18T09:00:00Z', to: '2026-11-18T09:00:40.250000Z' }, { number: 8, cell: 'C18', mode: 'normal', side: '', from: '2026-11-18T09:01:00Z', to: '2026-11-18T09:01:09Z' }];

  assert.equal(slatesNote(shown), 'Slates shown (UTC): 7 C17 raking left 09:00:00–09:00:40; 8 C18 normal 09:01:00–09:01:09.');
});

test('no slate shown is no note', () => {
  assert.equal(slatesNote([]), '');
});

test('page and desk read the same out of a line', () => {
  const { slates, none_of_ours } = JSON.parse(readFileSync(new URL('../../../vectors/slates.json', import.meta.url), 'utf8'));

  assert.deepEqual(slates.map(({ text }) => readSlate(text)), slates.map(({ slate }) => slate));
  assert.deepEqual(slates.map(({ slate }) => slateText(slate)), slates.map(({ text }) => text));
  assert.deepEqual(none_of_ours.map((text) => readSlate(text)), none_of_ours.map(() => null));
});
