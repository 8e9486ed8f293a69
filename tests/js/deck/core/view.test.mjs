import assert from 'node:assert/strict';
import { test } from 'node:test';
import fc from 'fast-check';
import { headsOf, project } from '../../../../static/js/deck/core/view.js';
import { idOf } from './tablet.mjs';

const OBJECT = idOf(0x900);
const cellsOf = () => ['C17'];

/** @param {number} number @param {any} [more] */
function said(number, { parents = [], note = 'brown', ...more } = {}) {
  return {
    id: idOf(number), object_id: OBJECT, kind: 'observation', parents: parents.map(idOf), observed_by: 'Inês', recorded_by: 'Inês', made_at: '2026-11-25T08:00:00Z', seq: number,
    body: { term: 'stain', item: 'C17-1', mode: 'normal', note, geometry: { type: 'Point', coordinates: [1, 1] } }, ...more,
  };
}

/** @param {any[]} entries */
const view = (entries, pack = null) => project({ pack, entries, cellsOf });

test('heads are the entries that no other one names as its parent', () => {
  const entries = [said(1), said(2, { parents: [1] }), said(3, { parents: [1] }), said(4, { parents: [2, 3] }), said(5)];

  assert.deepEqual(headsOf(entries).map(({ id }) => id), [idOf(4), idOf(5)]);
});

test('equal statements of two hands merge silently', () => {
  const { outlines, heads } = view([said(1), said(2, { observed_by: 'Gil' })]);

  assert.deepEqual([outlines.get(OBJECT)?.conflict, heads.get(OBJECT)], [false, [idOf(1), idOf(2)]]);
});

test('different statements of two hands are a conflict until one names both', () => {
  const both = [said(1), said(2, { note: 'black' })];

  assert.equal(view(both).outlines.get(OBJECT)?.conflict, true);
  assert.equal(view([...both, said(3, { parents: [1, 2] })]).outlines.get(OBJECT)?.conflict, false);
});

test('a withdrawal that knew only one of two versions is a conflict, and what was observed stays drawn', () => {
  const { outlines, withdrawn } = view([said(1), said(2, { note: 'black' }), { ...said(3, { parents: [2] }), kind: 'withdrawal', body: { reason: 'drawn twice' } }]);

  assert.deepEqual([outlines.get(OBJECT)?.conflict, outlines.get(OBJECT)?.note, withdrawn.size], [true, 'black', 0]);
});

test('what the server has not seen comes after what it has, by the number of the tablet', () => {
  const { outlines } = view([said(9, { seq: null, device_seq: 2, note: 'second' }), said(8, { seq: null, device_seq: 1, note: 'first' }), said(1)]);

  assert.deepEqual([outlines.get(OBJECT)?.note, outlines.get(OBJECT)?.pending], ['second', true]);
});

test('a conflict of the pack ends when an entry names all its heads', () => {
  const boot = { outlines: [{ ...said(2).body, id: OBJECT, entry: idOf(2), conflict: true }], heads: { [OBJECT]: [idOf(1), idOf(2)] } };

  assert.equal(view([], { head: 2, boot }).outlines.get(OBJECT)?.conflict, true);
  assert.equal(view([said(3, { parents: [1, 2] })], { head: 2, boot }).outlines.get(OBJECT)?.conflict, false);
  assert.equal(view([said(3, { parents: [1], note: 'black' })], { head: 2, boot }).outlines.get(OBJECT)?.conflict, true);
});

test('an entry that the pack has counted in, and that was replaced since, comes back as no head', () => {
  const pack = { epoch: 'e', head: 2, boot: { outlines: [{ ...said(2).body, id: OBJECT, entry: idOf(2), conflict: false }], heads: { [OBJECT]: [idOf(2)] } } };

  assert.deepEqual(view([said(1)], pack).heads.get(OBJECT), [idOf(2)]);
  assert.deepEqual(project({ pack, entries: [said(1)], cellsOf, epoch: 'another' }).heads.get(OBJECT), [idOf(2), idOf(1)]);
});

test('what stands does not depend on the order in which entries came', () => {
  const history = fc.array(fc.record({ kind: fc.constantFrom('observation', 'withdrawal'), note: fc.constantFrom('a', 'b'), parents: fc.array(fc.nat(11), { maxLength: 3 }) }), { minLength: 1, maxLength: 12 });
  fc.assert(fc.property(history, fc.integer(), (rows, turn) => {
    const entries = rows.map(({ kind, note, parents }, index) => said(index + 1, { note, parents: parents.filter((parent) => parent <= index && parent > 0), ...(index === 0 ? {} : { kind }) }));
    const turned = [...entries].sort((one, other) => ((one.seq * 7919 + turn) % 13) - ((other.seq * 7919 + turn) % 13));
    assert.deepEqual(view(turned), view(entries));
  }), { numRuns: 300 });
});
