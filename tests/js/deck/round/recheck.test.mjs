import assert from 'node:assert/strict';
import { test } from 'node:test';
import fc from 'fast-check';
import { agrees, chooseRechecks, recheckSentence, recheckSummary } from '../../../../static/js/deck/round/recheck.js';

const picks = fc.uniqueArray(fc.record({ item: fc.uuid(), cell: fc.constantFrom('A01', 'A02', 'A03') }), { selector: ({ item }) => item, maxLength: 30 });
const chance = fc.double({ min: 0, max: 1, maxExcluded: true, noNaN: true });

test('never more than two are chosen, none twice, all from those answered the same', () => {
  fc.assert(fc.property(picks, fc.array(chance, { minLength: 2, maxLength: 2 }), (same, drawn) => {
    const chosen = chooseRechecks(same, () => drawn.shift() ?? 0);

    assert.equal(chosen.length, Math.min(2, same.length));
    assert.equal(new Set(chosen).size, chosen.length);
    assert.ok(chosen.every((pick) => same.includes(pick)));
  }));
});

test('two different cells are looked at again where there are two', () => {
  fc.assert(fc.property(picks, fc.array(chance, { minLength: 2, maxLength: 2 }), (same, drawn) => {
    const chosen = chooseRechecks(same, () => drawn.shift() ?? 0);

    assert.equal(new Set(chosen.map(({ cell }) => cell)).size, Math.min(2, new Set(same.map(({ cell }) => cell)).size));
  }));
});

test('over many draws every item is chosen about equally often', () => {
  const same = ['A', 'B', 'C', 'D'].map((name) => ({ item: name, cell: name }));
  const counts = new Map(same.map(({ item }) => [item, 0]));
  let seed = 12345;
  // source: a linear congruential generator with the constants of ISO C's example of rand().
  const random = () => { seed = (seed * 1103515245 + 12345) % 2 ** 31; return seed / 2 ** 31; };

  for (let draw = 0; draw < 4_000; draw += 1) for (const { item } of chooseRechecks(same, random)) counts.set(item, counts.get(item) + 1);

  for (const count of counts.values()) assert.ok(Math.abs(count - 2_000) < 160, `${[...counts.values()]}`);
});

test('a disagreement is said plainly and both answers are named', () => {
  const sentence = recheckSentence({ item: 'x', cell: 'C17', first: 'same', second: 'worse' }, 'C17-2');

  assert.equal(sentence, 'C17-2 in C17: first "same", at the second look "worse". Both answers stay on record. Look at it again together.');
});

test('two equal answers agree', () => {
  assert.ok(agrees({ item: 'x', cell: 'C17', first: 'same', second: 'same' }));
});

test('with nothing answered the same there is nothing to look at again, and it is said', () => {
  assert.deepEqual(chooseRechecks([], Math.random), []);
  assert.match(recheckSummary([]), /nothing was looked at again/u);
});
