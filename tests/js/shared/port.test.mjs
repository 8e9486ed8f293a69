import assert from 'node:assert/strict';
import { test } from 'node:test';
import { EntryRefused, HttpPort } from '../../../static/js/shared/port.js';

/** A server that answers by a list: a status with a body, or an error as of a lost network. @param {any[]} answers */
function serverThat(answers) {
  const requests = [];
  const fetcher = async (_url, options) => {
    const entries = JSON.parse(options.body).entries;
    requests.push(entries);
    const answer = answers.shift() ?? { status: 200 };
    if (answer instanceof Error) throw answer;
    const body = answer.body ?? { receipts: entries.map((entry, index) => ({ id: entry.id, seq: requests.length + index, status: 'stored' })) };
    return new Response(JSON.stringify(body), { status: answer.status });
  };
  return { fetcher, requests };
}

/** @param {any[]} answers */
function portTo(answers) {
  const { fetcher, requests } = serverThat(answers);
  const said = [];
  const port = new HttpPort({ entriesUrl: '/entries/', onStatus: (status) => said.push(status), fetcher, later: (work) => setImmediate(work), token: () => 'token' });
  return { port, requests, said };
}

const draft = { object_id: 'o', kind: 'observation', body: {} };

test('saved is said only after the receipt', async () => {
  const { port, said } = portTo([]);

  const waiting = port.appendEntry(draft);
  assert.deepEqual(said.map(({ state }) => state), ['saving']);
  await waiting;

  assert.equal(said.at(-1).state, 'saved');
  assert.equal(port.unsaved, 0);
});

test('a lost network is tried again under the same identity', async () => {
  const { port, requests, said } = portTo([new TypeError('network'), { status: 503, body: {} }]);

  const receipt = await port.appendEntry(draft);

  assert.equal(requests.length, 3);
  assert.deepEqual(new Set(requests.map(([entry]) => entry.id)), new Set([receipt.id]));
  assert.ok(said.some(({ state }) => state === 'waiting'));
});

test('a refused entry says why and is not sent again', async () => {
  const { port, requests, said } = portTo([{ status: 400, body: { message: 'condition is 7; the limit is 3.', field: 'condition' } }]);

  await assert.rejects(port.appendEntry(draft), (error) => error instanceof EntryRefused && error.field === 'condition' && /limit is 3/.test(error.message));

  assert.equal(requests.length, 1);
  assert.equal(said.at(-1).state, 'refused');
});

test('entries arrive in the order in which they were made', async () => {
  const { port, requests } = portTo([new TypeError('network')]);

  await Promise.all(['a', 'b', 'c'].map((object_id) => port.appendEntry({ ...draft, object_id })));

  assert.deepEqual(requests.slice(1).map(([entry]) => entry.object_id), ['a', 'b', 'c']);
});

test('an answer without receipts is not taken for saved', async () => {
  const { port, requests } = portTo([{ status: 200, body: { ok: true } }]);

  await port.appendEntry(draft);

  assert.equal(requests.length, 2);
});
