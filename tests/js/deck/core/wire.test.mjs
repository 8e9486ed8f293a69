import assert from 'node:assert/strict';
import { test } from 'node:test';
import { HttpWire } from '../../../../static/js/deck/core/wire.js';

/** @param {(url: string, request: any) => Promise<Response>} answer */
function wireThat(answer, timeout_ms = 8000) {
  /** @type {{url: string, request: any}[]} */
  const calls = [];
  const fetcher = async (url, request) => {
    calls.push({ url, request });
    return answer(url, request);
  };
  return { calls, wire: new HttpWire({ base: '/api/v1/tablets/abc/', fetcher, token: () => 'token-1', timeout_ms }) };
}

const ok = async () => new Response('{"head":3}', { status: 200 });

test('each call goes to its address, with the token and nothing out of a cache', async () => {
  const { calls, wire } = wireThat(ok);

  await wire.push({ entries: [] });
  await wire.pull(17);
  await wire.blobState('d1');
  await wire.blobPart({ digest: 'd1', offset: 8, total: 10, bytes: new Uint8Array([1, 2]), mime: 'image/heic' });
  await wire.session();

  assert.deepEqual(calls.map(({ url, request }) => [request.method ?? 'GET', url]), [
    ['POST', '/api/v1/tablets/abc/push/'], ['GET', '/api/v1/tablets/abc/pull/?after=17&limit=200'], ['GET', '/api/v1/tablets/abc/blobs/d1'],
    ['PUT', '/api/v1/tablets/abc/blobs/d1?offset=8&total=10'], ['GET', '/api/v1/session/'],
  ]);
  assert.ok(calls.every(({ request }) => request.headers['X-CSRFToken'] === 'token-1' && request.cache === 'no-store' && request.credentials === 'same-origin'));
  assert.deepEqual([calls[0].request.body, calls[3].request.headers['X-Photograph-Type'], [...calls[3].request.body]], ['{"entries":[]}', 'image/heic', [1, 2]]);
});

test('status and body are given as they are, and a page that is no JSON has none', async () => {
  const { wire } = wireThat(async () => new Response('{"message":"Sign in.","reason":"sign-in"}', { status: 401 }));
  const { wire: portal } = wireThat(async () => new Response('<html>Welcome to the network</html>', { status: 200 }));

  assert.deepEqual(await wire.pull(0), { status: 401, body: { message: 'Sign in.', reason: 'sign-in' } });
  assert.deepEqual(await portal.pull(0), { status: 200, body: null });
});

test('a lost network throws', async () => {
  const { wire } = wireThat(async () => { throw new TypeError('Failed to fetch'); });

  await assert.rejects(wire.session(), TypeError);
});

test('a call ends after its time', async () => {
  const never = (_url, { signal }) => new Promise((_resolve, reject) => signal.addEventListener('abort', () => reject(signal.reason)));
  const { wire } = wireThat(never, 5);
  const alive = setInterval(() => {}, 1000); // a signal's own timer keeps no process alive

  await assert.rejects(wire.pull(0), (error) => error.name === 'TimeoutError');

  clearInterval(alive);
});
