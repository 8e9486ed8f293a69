import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';
import { test } from 'node:test';
import { sha1, uuid5, uuid7 } from '../../../static/js/shared/uuid.js';

test('a name in the DNS namespace gives the published identifier', () => {
  // source: RFC 9562, appendix A.4, example of a UUIDv5 value.
  assert.equal(uuid5('6ba7b810-9dad-11d1-80b4-00c04fd430c8', 'www.example.com'), '2ed6657d-e927-568b-95e1-2665a8aea6a2');
});

test('a time and random bits give the published identifier', () => {
  // source: RFC 9562, appendix A.6, example of a UUIDv7 value: 2022-02-22 14:22:22-05:00, rand_a CC3, rand_b 18C4DC0C0C07398F.
  const random = Uint8Array.from([0x0c, 0xc3, 0x18, 0xc4, 0xdc, 0x0c, 0x0c, 0x07, 0x39, 0x8f]);

  assert.equal(uuid7(0x017f22e279b0, random), '017f22e2-79b0-7cc3-98c4-dc0c0c07398f');
});

test('later identifiers sort after earlier ones', () => {
  const identifiers = [1, 1000, 1_700_000_000_000, 1_700_000_000_001].map((time_ms) => uuid7(time_ms));

  assert.deepEqual([...identifiers].sort(), identifiers);
});

test('digests agree with the platform for every length around a block', () => {
  // source: node:crypto (OpenSSL).
  for (let length = 0; length < 200; length += 1) {
    const message = Uint8Array.from({ length }, (_, index) => (index * 37 + length) % 256);
    assert.deepEqual(Buffer.from(sha1(message)), createHash('sha1').update(message).digest());
  }
});

test('what is no identifier is refused as a namespace', () => {
  assert.throws(() => uuid5('not-a-uuid', 'x'), /is not a UUID/);
});
