import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { TERMS_IN_REACH, termsInReach } from '../../../../static/js/deck/drawing/term_chooser.js';

const { terms } = JSON.parse(readFileSync(new URL('../../../../survey/vocabulary/data/terms.json', import.meta.url), 'utf-8'));

test('the search list comes first, in its order', () => {
  const near = termsInReach(terms, ['efflorescence', 'blister', 'dust']);

  assert.deepEqual(near.slice(0, 3).map(({ code }) => code), ['efflorescence', 'blister', 'dust']);
});

test('about ten terms are in reach, none twice', () => {
  for (const listed of [[], ['paint-loss'], terms.map(({ code }) => code)]) {
    const codes = termsInReach(terms, listed).map(({ code }) => code);

    assert.equal(codes.length, TERMS_IN_REACH);
    assert.equal(new Set(codes).size, TERMS_IN_REACH);
  }
});

test('a listed code that the vocabulary does not have is passed over', () => {
  assert.ok(termsInReach(terms, ['no-such-term']).every((term) => term.code));
});
