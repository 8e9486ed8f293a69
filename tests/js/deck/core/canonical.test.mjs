import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import fc from 'fast-check';
import { InvalidStatement, canonicalNumber, canonicalText, madeAt, statementOf } from '../../../../static/js/deck/core/canonical.js';

const { cases } = JSON.parse(readFileSync(new URL('../../../vectors/statements.json', import.meta.url), 'utf8'));

const draft = { id: '0198c0de-0000-7000-8000-000000000001', object_id: '0198c0de-0000-7000-8000-000000000002', kind: 'stop', body: {}, made_at: '2026-11-18T09:00:00Z', observed_by: 'Inês', recorded_by: 'Tomás' };

for (const { says, draft: given, canonical, digest } of cases) {
  test(`server and tablet take one digest: ${says}`, () => {
    // source: texts written by hand by RFC 8785, sections 3.2.1 to 3.2.4; the server's side is tests/survey/ledger/test_statement_vectors.py
    const text = canonicalText(statementOf(given));

    assert.equal(text, canonical);
    assert.equal(createHash('sha256').update(text).digest('hex'), digest);
  });
}

test('numbers are written as the standard prints them', () => {
  // source: RFC 8785 (2020), appendix B, number serialization samples.
  const samples = {
    '0000000000000000': '0', '8000000000000000': '0', '0000000000000001': '5e-324', '8000000000000001': '-5e-324', '7fefffffffffffff': '1.7976931348623157e+308',
    ffefffffffffffff: '-1.7976931348623157e+308', '4340000000000000': '9007199254740992', c340000000000000: '-9007199254740992', '4430000000000000': '295147905179352830000',
    '44b52d02c7e14af5': '9.999999999999997e+22', '44b52d02c7e14af6': '1e+23', '44b52d02c7e14af7': '1.0000000000000001e+23', '444b1ae4d6e2ef4e': '999999999999999700000',
    '444b1ae4d6e2ef4f': '999999999999999900000', '444b1ae4d6e2ef50': '1e+21', '3eb0c6f7a0b5ed8c': '9.999999999999997e-7', '3eb0c6f7a0b5ed8d': '0.000001',
    '41b3de4355555553': '333333333.3333332', '41b3de4355555554': '333333333.33333325', '41b3de4355555555': '333333333.3333333', '41b3de4355555556': '333333333.3333334',
    '41b3de4355555557': '333333333.33333343', becbf647612f3696: '-0.0000033333333333333333', '43143ff3c1cb0959': '1424953923781206.2',
  };

  const written = Object.fromEntries(Object.keys(samples).map((bits) => [bits, canonicalNumber(Buffer.from(bits, 'hex').readDoubleBE())]));

  assert.deepEqual(written, samples);
});

test('what the standard calls invalid is refused', () => {
  // source: RFC 8785 (2020), appendix B: NaN and infinity; section 3.2.2.2: lone surrogates.
  for (const value of [NaN, Infinity, -Infinity, 'a\ud800', '\udc00b', { '\ud83d': 1 }]) assert.throws(() => canonicalText(value), InvalidStatement);
});

test('the samples of the standard come out byte for byte', () => {
  // source: RFC 8785 (2020), section 3.2.2 with 3.2.4, and section 3.2.3 (sorting).
  const sample = JSON.parse(String.raw`{"numbers":[333333333.33333329,1E30,4.50,2e-3,0.000000000000000000000000001],"string":"\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/","literals":[null,true,false]}`);
  const sorting = JSON.parse(String.raw`{"\u20ac":"Euro Sign","\r":"Carriage Return","\ufb33":"Hebrew Letter Dalet With Dagesh","1":"One","\ud83d\ude00":"Emoji: Grinning Face","\u0080":"Control","\u00f6":"Latin Small Letter O With Diaeresis"}`);

  assert.equal(canonicalText(sample), String.raw`{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\u000f\nA'B\"\\\\\"/"}`);
  assert.deepEqual([...canonicalText(sorting).matchAll(/:"([^"]+)"/g)].map(([, value]) => value),
    ['Carriage Return', 'One', 'Control', 'Latin Small Letter O With Diaeresis', 'Euro Sign', 'Emoji: Grinning Face', 'Hebrew Letter Dalet With Dagesh']);
});

test('what other readers would round, and what a database cannot hold, is refused', () => {
  assert.equal(canonicalText(2 ** 53 - 1), '9007199254740991');
  for (const value of [2 ** 53, -(2 ** 53), 1e20, 'a\0b', { 'a\0': 1 }, () => 1, undefined, Symbol('x'), 5n]) assert.throws(() => canonicalText(value), InvalidStatement);
});

const json = fc.jsonValue({ noUnicodeString: false }).filter((value) => isTaken(value));

test('the canonical text says the same as the value', () => {
  fc.assert(fc.property(json, (value) => {
    assert.deepEqual(JSON.parse(canonicalText(value)), JSON.parse(JSON.stringify(value)));
  }), { numRuns: 500 });
});

test('the order in which keys were set does not matter', () => {
  fc.assert(fc.property(fc.dictionary(fc.string(), fc.integer()), (value) => {
    const turned = Object.fromEntries(Object.entries(value).reverse());
    assert.equal(canonicalText(turned), canonicalText(value));
  }), { numRuns: 300 });
});

test('what is sent as JSON and read back has the same canonical text', () => {
  fc.assert(fc.property(json, (value) => {
    assert.equal(canonicalText(JSON.parse(JSON.stringify(value))), canonicalText(value));
  }), { numRuns: 500 });
});

test('a moment has the form that the server writes', () => {
  assert.equal(madeAt(Date.UTC(2026, 10, 18, 9)), '2026-11-18T09:00:00Z');
  assert.equal(madeAt(Date.UTC(2026, 10, 18, 9, 0, 0, 123)), '2026-11-18T09:00:00.123000Z');
  assert.equal(madeAt(Date.UTC(2026, 10, 18, 9, 0, 0, 7)), '2026-11-18T09:00:00.007000Z');
});

test('a statement that lacks something is refused by name', () => {
  assert.throws(() => statementOf({ ...draft, observed_by: ' ' }), /observed_by/);
  assert.throws(() => statementOf({ ...draft, recorded_by: 'x'.repeat(151) }), /recorded_by/);
  assert.throws(() => statementOf({ ...draft, object_id: 'C17' }), /object_id is C17/);
  assert.throws(() => statementOf({ ...draft, made_at: 'yesterday' }), /made_at is yesterday/);
  assert.throws(() => statementOf({ ...draft, kind: '' }), /kind/);
  assert.throws(() => statementOf({ ...draft, body: null }), /body/);
  assert.throws(() => statementOf({ ...draft, parents: Array.from({ length: 33 }, (_, n) => `0198c0de-0000-7000-8000-0000000000${10 + n}`) }), /parents has 33/);
});

test('who records is who observes when nobody else is named', () => {
  const { observed_by, recorded_by } = statementOf({ ...draft, recorded_by: undefined });

  assert.deepEqual([observed_by, recorded_by], ['Inês', 'Inês']);
});

/** @param {any} value */
function isTaken(value) {
  try {
    canonicalText(value);
    return true;
  } catch {
    return false;
  }
}
