// Does the browser rank what is typed as the server does? Both read tests/vectors/terms.json.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import test from 'node:test';
import { plainWords, searchTerms, slipsBetween } from '../../static/js/shared/terms.js';

const read = (path) => JSON.parse(readFileSync(new URL(path, import.meta.url), 'utf8'));
const vectors = read('../vectors/terms.json');
const data = read('../../survey/vocabulary/data/terms.json');
const terms = data.terms.map((term) => ({
  ...term,
  everyday: data.everyday_words.flatMap(({ word, leads_to: lead, offers }) => {
    if (lead === term.code) return [{ word, place: 0 }];
    return offers.includes(term.code) ? [{ word, place: offers.indexOf(term.code) + 1 }] : [];
  }),
}));

for (const [typed, expected] of vectors.searches) {
  test(`"${typed}" brings the nearest terms first`, () => {
    const found = searchTerms(typed, terms).map((match) => match.term.code);

    assert.deepEqual(found.slice(0, expected.length), expected);
    assert.equal(found.length > 0, expected.length > 0);
  });
}

for (const [one, other, slips] of vectors.slips) {
  test(`"${one}" and "${other}" are ${slips} slips apart`, () => {
    assert.equal(slipsBetween(one, other), slips);
  });
}

test('a name is compared without bracket, capitals and punctuation', () => {
  assert.equal(plainWords("  Artist's drip-line (run) "), 'artists drip line');
});

test('each name finds its own term first', () => {
  for (const term of terms) assert.equal(searchTerms(term.name, terms)[0].term.code, term.code);
});

test('a search gives no more than asked for', () => {
  assert.equal(searchTerms('c', terms, 5).length, 5);
});
