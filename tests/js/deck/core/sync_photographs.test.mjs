import assert from 'node:assert/strict';
import { test } from 'node:test';
import { speaking } from './tablet.mjs';

test('a photograph goes up in parts and is held once the server names our digest', async () => {
  const { log, sync, server, wire } = await speaking({ part_bytes: 40 });
  const bytes = Uint8Array.from({ length: 100 }, (_, index) => index);
  const digest = await log.keepPhotograph({ bytes: bytes.buffer.slice(0), mime: 'image/jpeg' });
  const parts = [];
  const { blobPart } = wire;
  wire.blobPart = (part) => {
    parts.push([part.offset, part.bytes.length, part.total]);
    return blobPart(part);
  };

  await sync.syncOnce();

  assert.deepEqual(parts, [[0, 40, 100], [40, 40, 100], [80, 20, 100]]);
  assert.deepEqual([server.blobs.get(digest)?.bytes, log.unsent().photographs], [bytes, 0]);
});

test('a photograph goes on from where the server stands', async () => {
  const { log, sync, server, wire } = await speaking({ part_bytes: 40 });
  const digest = await log.keepPhotograph({ bytes: Uint8Array.from({ length: 100 }, (_, index) => index).buffer, mime: 'image/jpeg' });
  let calls = 0;
  wire.meddle = (call, answer) => {
    if (call === 'blobPart') calls += 1;
    if (call === 'blobPart' && calls === 1) throw new TypeError('Failed to fetch'); // arrived, and nobody said so
    if (call === 'blobState') answer.body.held = 0; // an older word of the server: it answers 409 and says where
    return answer;
  };

  await sync.syncOnce();
  await sync.syncOnce();

  assert.deepEqual([server.blobs.has(digest), log.unsent().photographs, calls], [true, 0, 4]);
});

test('a photograph of which all bytes came before the server was stopped is made complete', async () => {
  const { log, sync, wire } = await speaking({ part_bytes: 40 });
  await log.keepPhotograph({ bytes: Uint8Array.from({ length: 100 }, (_, index) => index).buffer, mime: 'image/jpeg' });
  const parts = [];
  wire.blobState = async (digest) => ({ status: 200, body: { digest, held: 100, complete: false } });
  wire.blobPart = async ({ digest, offset, total, bytes }) => {
    parts.push([offset, total, [...bytes]]);
    return { status: 200, body: { digest, held: 100, complete: true } };
  };

  await sync.syncOnce();

  assert.deepEqual([parts, log.unsent().photographs], [[[99, 100, [99]]], 0]);
});

test('a photograph that arrives otherwise is not forgotten and does not turn for ever', async () => {
  const { log, sync, wire } = await speaking({ part_bytes: 40 });
  await log.keepPhotograph({ bytes: new Uint8Array(100).buffer, mime: 'image/jpeg' });
  let calls = 0;
  wire.blobPart = async () => {
    calls += 1;
    return { status: 200, body: { digest: 'f'.repeat(64), held: 0, complete: false } };
  };

  await sync.syncOnce();

  assert.deepEqual([log.unsent().photographs, sync.state.phase], [1, 'waiting']);
  assert.ok(calls < 20);
});

test('complete is believed only with our own digest', async () => {
  const { log, sync, wire } = await speaking();
  await log.keepPhotograph({ bytes: new Uint8Array(10).buffer, mime: 'image/jpeg' });
  wire.meddle = (call, answer) => (call === 'blobState' || call === 'blobPart' ? { status: 200, body: { digest: 'f'.repeat(64), held: 10, complete: true } } : answer);

  await sync.syncOnce();

  assert.equal(log.unsent().photographs, 1);
});

test('parts that time out become smaller', async () => {
  const { log, sync, wire } = await speaking();
  await log.keepPhotograph({ bytes: new Uint8Array(9_000_000).buffer, mime: 'image/jpeg' });
  const sizes = [];
  const { blobPart } = wire;
  wire.blobPart = (part) => {
    sizes.push(part.bytes.length);
    if (part.bytes.length > 3_000_000) throw new DOMException('signal timed out', 'TimeoutError');
    return blobPart(part);
  };

  for (let round = 0; round < 3; round += 1) await sync.syncOnce();

  assert.deepEqual(sizes.slice(0, 3), [8388608, 4194304, 2097152]);
  assert.equal(log.unsent().photographs, 0);
});
