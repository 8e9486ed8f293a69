import assert from 'node:assert/strict';
import { test } from 'node:test';
import { LONGEST_RETRY_MS, ROUND_EVERY_MS, SOON_MS } from '../../../../static/js/deck/core/sync.js';
import { DAY_MS, drafts, idOf, observation, quietPlatform, speaking } from './tablet.mjs';

/** @param {number} status @param {any} [body] */
const answering = (status, body = { message: 'Words of the server.', field: null }) => () => ({ status, body });

test('entries go up in the order of their numbers, at most 200 at once', async () => {
  const { log, sync, wire, server } = await speaking();
  await log.append(drafts(450));

  await sync.syncOnce();

  assert.deepEqual(wire.pushed.map(({ entries }) => entries.length), [200, 200, 50]);
  assert.deepEqual(wire.pushed.flatMap(({ entries }) => entries.map(({ device_seq }) => device_seq)), Array.from({ length: 450 }, (_, index) => index + 1));
  assert.deepEqual([server.rows.length, sync.state.phase, sync.state.unsent], [450, 'idle', 0]);
});

test('a batch stays below 1 MB as it goes over the wire', async () => {
  const { log, sync, wire } = await speaking();
  await log.append(drafts(8).map((draft) => ({ ...draft, body: { ...draft.body, note: 'ż'.repeat(150_000) } })));

  await sync.syncOnce();

  const sizes = wire.pushed.map((body) => Buffer.byteLength(JSON.stringify(body)));
  assert.ok(sizes.every((size) => size <= 1_000_000), String(sizes));
  assert.deepEqual([wire.pushed.length, sync.state.unsent], [3, 0]);
});

test('what goes over the wire is the contract', async () => {
  const { log, sync, wire } = await speaking();
  const [kept] = await log.append(observation());

  await sync.syncOnce();

  assert.deepEqual(wire.pushed, [{ contract: 1, epoch: 'epoch-1', sent_at: '2026-11-25T08:00:00Z', unsent: 1, photographs_unsent: 0, entries: [{ ...kept.entry, device_seq: 1, digest: kept.digest }] }]);
});

test('a lost answer costs nothing: the same entries are already there', async () => {
  const { log, sync, wire, server } = await speaking();
  await log.append(drafts(3));
  wire.meddle = (call, answer) => {
    if (call === 'push') throw new TypeError('Failed to fetch');
    return answer;
  };
  await sync.syncOnce();
  assert.deepEqual([sync.state.phase, sync.state.unsent, server.rows.length], ['offline', 3, 3]);

  wire.meddle = (_call, answer) => answer;
  await sync.syncOnce();

  assert.deepEqual([sync.state.phase, sync.state.unsent, server.rows.length], ['idle', 0, 3]);
});

test('a batch answered half is acknowledged half', async () => {
  const { log, sync, wire } = await speaking();
  await log.append(drafts(4));
  wire.meddle = (call, answer) => {
    if (call === 'push') answer.body.receipts.length = 2;
    return call === 'pull' ? { status: 503, body: null } : answer;
  };

  await sync.syncOnce();

  assert.deepEqual([sync.state.phase, sync.state.unsent], ['waiting', 2]);
});

test('a receipt for other bytes is no receipt', async () => {
  const { log, sync, wire } = await speaking();
  await log.append(drafts(1));
  wire.meddle = (call, answer) => {
    for (const receipt of answer.body.receipts ?? []) receipt.digest = '0'.repeat(64);
    return call === 'pull' ? { status: 503, body: null } : answer;
  };

  await sync.syncOnce();

  assert.deepEqual([sync.state.unsent, sync.state.phase], [1, 'waiting']);
});

for (const [status, body, phase] of /** @type {[number, any, string][]} */ ([
  [401, { message: 'Sign in.', reason: 'sign-in' }, 'sign-in'], [403, { message: 'No part.', reason: 'no-part' }, 'no-part'],
  [404, { message: 'Unknown.', reason: 'unknown-tablet' }, 'waiting'], [503, { message: 'Busy.' }, 'waiting'], [502, null, 'waiting'], [0, null, 'waiting'], [200, {}, 'waiting'], [200, null, 'waiting'],
  [200, { contract: 2, epoch: 'epoch-1', receipts: [] }, 'waiting'], [200, { contract: 1, epoch: '', receipts: [] }, 'waiting'], [200, { contract: 1, epoch: 'epoch-1' }, 'waiting'],
])) {
  test(`an answer ${status} ${JSON.stringify(body)} drops nothing and says ${phase}`, async () => {
    const { log, sync, wire } = await speaking();
    await log.append(drafts(2));
    wire.meddle = answering(status, body);

    await sync.syncOnce();

    assert.deepEqual([sync.state.phase, sync.state.unsent], [phase, 2]);
    assert.ok(sync.state.message);
  });
}

test('a stale token is renewed for the next round', async () => {
  const { log, sync, wire } = await speaking();
  await log.append(drafts(1));
  let isStale = true;
  const { session, push } = wire;
  wire.session = () => {
    isStale = false;
    return session();
  };
  wire.push = async (body) => (isStale ? { status: 403, body: { message: 'CSRF Failed: CSRF token missing.', field: null } } : push(body));

  await sync.syncOnce();
  assert.deepEqual([sync.state.phase, sync.state.unsent], ['waiting', 1]);
  await sync.syncOnce();

  assert.deepEqual([sync.state.phase, sync.state.unsent], ['idle', 0]);
});

test('a server that speaks a newer contract is told from a stranger', async () => {
  const { sync, wire } = await speaking();
  wire.meddle = answering(200, { contract: 2, epoch: 'epoch-1', receipts: [] });

  await sync.syncOnce();

  assert.match(sync.state.message, /newer than this page/);
});

test('an entry that the server cannot read does not hold up those behind it', async () => {
  const { log, sync, wire } = await speaking();
  const kept = await log.append(drafts(9));
  const { push } = wire;
  wire.push = (body) => (body.entries.some(({ id }) => id === kept[4].id) ? { status: 400, body: { message: 'This is not JSON.' } } : push(body));

  await sync.syncOnce();

  assert.deepEqual([sync.state.unsent, sync.state.phase, sync.state.message], [1, 'waiting', 'This is not JSON.']);
});

test('what is set aside is told, and leaves the queue', async () => {
  const { log, sync, server } = await speaking();
  await log.append(drafts(1));
  server.surveyState = 'sealed';

  await sync.syncOnce();

  assert.deepEqual([sync.state.unsent, sync.state.set_aside, sync.state.survey_state, sync.state.phase], [0, 1, 'sealed', 'idle']);
  assert.match(log.setAside()[0].message, /sealed/);
});

test('the record comes down page by page, once', async () => {
  const { log, sync, server, wire } = await speaking();
  for (let number = 0; number < 450; number += 1) {
    server.desk({ body: { term: 'stain' }, id: idOf(0x20000 + number), kind: 'observation', kind_version: 1, made_at: '2026-11-25T07:00:00Z', object_id: idOf(0x30000 + number), observed_by: 'Gil', parents: [], recorded_by: 'Gil' });
  }
  let pages = 0;
  wire.meddle = (call, answer) => {
    if (call === 'pull') pages += 1;
    return answer;
  };

  await sync.syncOnce();
  await sync.syncOnce();

  assert.deepEqual([(await log.entries()).length, pages], [450, 4]);
});

test('a page that is torn or out of order is not stored', async () => {
  for (const tear of [(entries) => entries.reverse(), (entries) => { entries[1].seq = 'two'; }, (entries) => { delete entries[0].digest; }, (entries) => { entries[0].seq = 0; }]) {
    const { log, sync, server, wire } = await speaking();
    for (const number of [1, 2]) server.desk({ body: {}, id: idOf(0x20000 + number), kind: 'observation', kind_version: 1, made_at: '2026-11-25T07:00:00Z', object_id: idOf(5), observed_by: 'Gil', parents: [], recorded_by: 'Gil' });
    wire.meddle = (call, answer) => {
      if (call === 'pull') tear(answer.body.entries);
      return answer;
    };

    await sync.syncOnce();

    assert.deepEqual([(await log.entries()).length, sync.state.phase], [0, 'waiting']);
  }
});

test('a server put back to an older state gets again what it lost', async () => {
  const { log, sync, server, states } = await speaking();
  await log.append(drafts(2));
  const backup = server.backup();
  await sync.syncOnce();
  const digest = await log.keepPhotograph({ bytes: new Uint8Array([1, 2, 3]).buffer, mime: 'image/jpeg' });
  await sync.syncOnce();

  server.recover(backup, 'epoch-2');
  await sync.syncOnce();

  assert.deepEqual([server.rows.length, server.blobs.has(digest), sync.state.epoch, sync.state.unsent], [2, true, 'epoch-2', 0]);
  assert.ok(states.some(({ unsent, epoch }) => unsent === 2 && epoch === 'epoch-2'));
});

test('an answer of the epoch before acknowledges nothing', async () => {
  const { log, sync, server, wire } = await speaking();
  await log.append(drafts(1));
  const epochs = ['epoch-2', 'epoch-1', 'epoch-2'];
  server.recover(server.backup(), 'epoch-2');
  wire.meddle = (_call, answer) => {
    const epoch = epochs.shift();
    if (epoch) answer.body.epoch = epoch;
    return answer;
  };

  await sync.syncOnce();

  const [row] = await log.entries();
  assert.deepEqual([row.held?.epoch, sync.state.unsent, server.rows.length], ['epoch-2', 0, 1]);
});

test('a round in which all is well lets go of what the server has held for long', async () => {
  const { disk, log, sync, server, platform } = await speaking();
  await log.append(drafts(2));
  await sync.syncOnce();
  await disk.run(['pack'], 'readwrite', (tx) => tx.put('pack', { name: 'pack', pack: { epoch: server.epoch, head: 1 } }));

  platform.clock_ms += 15 * DAY_MS;
  await sync.syncOnce();

  assert.deepEqual((await log.entries()).map(({ seq }) => seq), [2]);
});

test('the difference of the clocks is told and changes no order', async () => {
  const { log, sync, server, platform } = await speaking();
  await log.append(drafts(1));
  const truth_ms = platform.clock_ms;
  server.now_ms = () => truth_ms;
  platform.clock_ms -= 3 * DAY_MS;
  await log.append(drafts(1).map((draft) => ({ ...draft, object_id: idOf(0x40000) })));

  await sync.syncOnce();

  assert.equal(sync.state.skew_s, -3 * 86_400);
  assert.deepEqual(server.rows.map(({ device_seq }) => device_seq), [1, 2]);
});

test('a server with a fixed clock says nothing of the difference', async () => {
  const { sync, server } = await speaking();
  server.clockFixed = true;

  await sync.syncOnce();

  assert.equal(sync.state.skew_s, null);
});

test('a tablet that was retired says so', async () => {
  const { sync, wire } = await speaking();
  wire.meddle = (_call, answer) => ({ ...answer, body: { ...answer.body, retired: true } });

  await sync.syncOnce();

  assert.equal(sync.state.phase, 'retired');
});

test('the timer comes again with jitter, sooner when something was said, later when nobody answers', async () => {
  const { log, sync, platform, wire } = await speaking();
  sync.start();
  assert.deepEqual(platform.timers.map(({ ms }) => ms), [0]);

  await fire(platform, sync);
  assert.deepEqual(platform.timers.map(({ ms }) => ms), [ROUND_EVERY_MS * 0.75]);

  await log.append(observation());
  assert.deepEqual(platform.timers.map(({ ms }) => ms), [SOON_MS]);

  wire.meddle = () => { throw new TypeError('Failed to fetch'); };
  const waits = [];
  for (let tries = 0; tries < 8; tries += 1) {
    await fire(platform, sync);
    waits.push(platform.timers[0].ms);
  }
  assert.deepEqual(waits, [...waits].sort((one, other) => one - other));
  assert.ok(waits[7] <= LONGEST_RETRY_MS && waits[0] < 10_000);

  sync.stop();
  assert.deepEqual(platform.timers, []);
});

test('a page that does not get the lock leaves the sending to the other one', async () => {
  const platform = { ...quietPlatform(), withLock: async () => undefined };
  const { log, sync, wire } = await speaking({ platform });
  await log.append(observation());

  await sync.syncOnce();

  assert.deepEqual([wire.pushed.length, sync.state.unsent], [0, 1]);
});

test('who asks during a round gets another one', async () => {
  const { sync, wire } = await speaking();

  await Promise.all([sync.syncOnce(), sync.tryNow(), sync.tryNow()]);

  assert.equal(wire.pushed.length, 2);
});

test('a full disk in the middle of a pull is told and nothing is lost', async () => {
  const { disk, log, sync, server } = await speaking();
  await log.append(drafts(1));
  const { run } = disk;
  let calls = 0;
  disk.run = (stores, mode, work) => {
    calls += mode === 'readwrite' ? 1 : 0;
    if (mode === 'readwrite' && calls === 1) return Promise.reject(Object.assign(new Error('The disk of this tablet is full.'), { name: 'DiskFailed' }));
    return run.call(disk, stores, mode, work);
  };

  await sync.syncOnce();
  assert.deepEqual([sync.state.phase, sync.state.message, sync.state.unsent], ['waiting', 'The disk of this tablet is full.', 1]);

  await sync.syncOnce();
  assert.deepEqual([sync.state.phase, sync.state.unsent, server.rows.length], ['idle', 0, 1]);
});

/** Let the next timer do its work. @param {ReturnType<typeof quietPlatform>} platform @param {any} sync */
async function fire(platform, sync) {
  const [timer] = platform.timers.splice(0, 1);
  platform.clock_ms += timer.ms;
  timer.work();
  await sync.running;
  await Promise.resolve();
}
