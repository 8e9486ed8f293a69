import assert from 'node:assert/strict';
import { test } from 'node:test';
import { FakeServer, digestOf } from './fake_server.mjs';

const TABLET = '019ac000-0000-7000-8000-0000000000aa';

/** A server on which one tablet is enrolled. */
function enrolled() {
  const server = new FakeServer({ now_ms: () => Date.UTC(2026, 10, 25, 9) });
  server.enrol(TABLET);
  return server;
}

/** @param {number} number @param {any} [changes] */
function entry(number, changes = {}) {
  const statement = {
    body: { term: 'flaking', note: 'x' },
    id: `019ac000-0000-7000-8000-${String(number).padStart(12, '0')}`,
    kind: 'observation',
    kind_version: 1,
    made_at: '2026-11-25T09:00:00Z',
    object_id: `019ac000-0000-7000-9000-${String(number).padStart(12, '0')}`,
    observed_by: 'Inês',
    parents: [],
    recorded_by: 'Priya',
    ...changes,
  };
  return { ...statement, device_seq: number, digest: digestOf(statement) };
}

/** @param {FakeServer} server @param {any[]} entries */
function pushed(server, entries, account = 'ines') {
  return server.push({ account, tablet: TABLET, text: JSON.stringify({ contract: 1, epoch: server.epoch, sent_at: '2026-11-25T09:00:00Z', unsent: entries.length, photographs_unsent: 0, entries }) });
}

test('the same batch a hundred times gives the same state', () => {
  const server = enrolled();
  const batch = [entry(1), entry(2, { kind: 'mystery' }), entry(3)];

  const first = pushed(server, batch);
  for (let time = 0; time < 99; time += 1) pushed(server, batch);
  const last = pushed(server, batch);

  assert.deepEqual(first.body.receipts.map((/** @type {any} */ receipt) => receipt.status), ['stored', 'set aside', 'stored']);
  assert.deepEqual(last.body.receipts.map((/** @type {any} */ receipt) => receipt.status), ['already there', 'set aside', 'already there']);
  assert.deepEqual([server.rows.length, server.asides.length, last.body.received_to], [2, 1, 3]);
});

test('what is held is counted only as far as no number is missing', () => {
  const server = enrolled();

  assert.equal(pushed(server, [entry(1), entry(3)]).body.received_to, 1);
  assert.equal(pushed(server, [entry(2)]).body.received_to, 3);
});

test('an entry whose digest is not that of what came is set aside, and the right one is stored later', () => {
  const server = enrolled();

  const wrong = pushed(server, [{ ...entry(1), body: { term: 'flaking', note: '?' } }]);
  const right = pushed(server, [entry(1)]);

  assert.equal(wrong.body.receipts[0].status, 'set aside');
  assert.equal(right.body.receipts[0].status, 'stored');
});

test('a second head that says another thing is stored as conflict', () => {
  const server = enrolled();
  const object_id = entry(1).object_id;

  pushed(server, [entry(1)]);
  const other = pushed(server, [entry(2, { object_id, body: { term: 'paint-loss', note: 'y' } })]);
  const decision = pushed(server, [entry(3, { object_id, parents: [entry(1).id, entry(2).id] })]);

  assert.equal(other.body.receipts[0].status, 'stored as conflict');
  assert.equal(decision.body.receipts[0].status, 'stored');
});

test('of a sealed survey and of a retired tablet everything new is set aside', () => {
  const server = enrolled();
  pushed(server, [entry(1)]);

  server.surveyState = 'sealed';
  const sealed = pushed(server, [entry(1), entry(2)]);
  server.surveyState = 'open';
  server.retire(TABLET);
  const retired = pushed(server, [entry(3)]);

  assert.deepEqual(sealed.body.receipts.map((/** @type {any} */ receipt) => receipt.status), ['already there', 'set aside']);
  assert.equal(retired.body.receipts[0].status, 'set aside');
  assert.deepEqual([server.rows.length, server.asides.length], [1, 2]);
});

test('a server put back to an older state has another epoch and takes again what it lost', () => {
  const server = enrolled();
  pushed(server, [entry(1)]);
  const backup = server.backup();
  pushed(server, [entry(2)]);

  server.recover(backup, 'epoch-2');
  const again = pushed(server, [entry(1), entry(2)]);

  assert.equal(again.body.epoch, 'epoch-2');
  assert.deepEqual(again.body.receipts.map((/** @type {any} */ receipt) => receipt.status), ['already there', 'stored']);
});

test('a photograph comes in parts and is whole only when its digest is right', () => {
  const server = enrolled();
  const bytes = new Uint8Array([1, 2, 3, 4]);
  const digest = '9f64a747e1b97f131fabb6b447296c9b6f0201e79fb3c5356e6c77e89b6a806a'; // source: printf '\1\2\3\4' | sha256sum
  const part = { account: 'ines', tablet: TABLET, digest, total: 4 };

  assert.deepEqual(server.blobPart({ ...part, offset: 0, bytes: bytes.slice(0, 3) }).body, { digest: '', held: 3, complete: false });
  assert.equal(server.blobPart({ ...part, offset: 0, bytes }).status, 409);
  assert.deepEqual(server.blobPart({ ...part, offset: 3, bytes: bytes.slice(3) }).body, { digest, held: 4, complete: true });
  assert.equal(server.blobPart({ ...part, digest: 'f'.repeat(64), offset: 0, bytes }).body.held, 0);
});

test('nobody, a stranger to the wall and a tablet that is not enrolled are told apart', () => {
  const server = enrolled();

  assert.equal(pushed(server, [], /** @type {any} */ (null)).body.reason, 'sign-in');
  assert.equal(pushed(server, [], 'gil').body.reason, 'no-part');
  assert.equal(server.pull({ account: 'ines', tablet: 'another', after: 0 }).body.reason, 'unknown-tablet');
  assert.equal(server.rows.length, 0);
});
