import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';
import { test } from 'node:test';
import { sha256Hex } from '../../../../static/js/deck/core/sha256.js';

test('the examples of the standard come out', () => {
  // source: FIPS 180-4, SHA-256 examples (NIST example values): "abc" and the 448-bit message.
  const digests = ['abc', 'abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq'].map((text) => sha256Hex(new TextEncoder().encode(text)));

  assert.deepEqual(digests, ['ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad', '248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1']);
});

test('digests agree with the platform for every length around a block', () => {
  // source: node:crypto (OpenSSL).
  for (let length = 0; length < 200; length += 1) {
    const message = Uint8Array.from({ length }, (_, index) => (index * 37 + length) % 256);
    assert.equal(sha256Hex(message), createHash('sha256').update(message).digest('hex'));
  }
});
