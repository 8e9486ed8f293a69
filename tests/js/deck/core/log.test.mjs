import assert from 'node:assert/strict';
import { test } from 'node:test';
import { DiskFailed } from '../../../../static/js/deck/core/disk.js';
import { acknowledge, beginEpoch, storePage } from '../../../../static/js/deck/core/received.js';
import { TabletLog } from '../../../../static/js/deck/core/log.js';
import { MOST_ACTS } from '../../../../static/js/deck/core/rows.js';
import { failWrites } from './failing_writes.mjs';
import { DAY_MS, ENROLMENT, START_MS, diskNamed, idOf, observation, openTablet, quietPlatform } from './tablet.mjs';

/** @param {number} [at_ms] @param {number | null} [server_ms] */
const contact = (at_ms = START_MS, server_ms = at_ms) => ({ epoch: 'epoch-1', at_ms, server_ms });

/** A statement as the server gives it back. @param {any} kept @param {number} seq */
const pulledOf = (kept, seq) => ({ ...kept.entry, seq, digest: kept.digest, carried_by: 'Gil', device: 'tablet', device_seq: kept.device_seq });

/** @param {any} kept @param {any} [more] */
const receiptOf = ({ id, digest, device_seq }, more) => ({ id, digest, device_seq, status: 'stored', seq: device_seq, message: '', ...more });

test('entries are numbered without a gap, also by two pages at once', async () => {
  const { log, name, platform } = await openTablet();
  const other = await TabletLog.open({ disk: diskNamed(name), platform });

  const kept = await Promise.all([log.append(observation()), other.append(observation()), log.append([observation(), observation()]), other.append(observation())]);

  assert.deepEqual(kept.flat().map(({ device_seq }) => device_seq).sort((one, two) => one - two), [1, 2, 3, 4, 5]);
});

test('a number is not used up by an entry that the disk refused', async () => {
  const { log } = await openTablet();
  failWrites({ at: 1, way: 'fails at commit', lasting: true });
  await assert.rejects(log.append(observation()), DiskFailed);
  failWrites();

  const [kept] = await log.append(observation());

  assert.equal(kept.device_seq, 1);
});

test('a statement without a canonical form is refused before anything is written', async () => {
  const { log } = await openTablet();

  await assert.rejects(log.append([observation(), observation({ body: { note: '\ud800' } })]), /lone surrogate/);

  assert.deepEqual([await log.entries(), log.unsent().entries], [[], 0]);
});

test('an outline with too many points for a batch is refused in words', async () => {
  const { log } = await openTablet();
  const coordinates = Array.from({ length: 90_000 }, (_, index) => [index / 256, 1]);

  await assert.rejects(log.append(observation({ body: { geometry: { type: 'LineString', coordinates } } })), /Draw the outline in parts/);
});

test('the same entry again is not written again, and another one under its id is refused', async () => {
  const { log } = await openTablet();
  const draft = observation({ id: idOf(99), made_at: '2026-11-25T08:00:00Z' });
  const [first] = await log.append(draft);

  const [again] = await log.append(draft);

  assert.deepEqual(again, first);
  await assert.rejects(log.append({ ...draft, body: { note: 'else' } }), /says something else/);
  assert.equal(log.unsent().entries, 1);
});

test('the draft goes in the same transaction in which its entry comes', async () => {
  const { disk, log } = await openTablet();
  await disk.run(['drafts', 'steps'], 'readwrite', async (tx) => {
    await tx.put('drafts', { id: 'under the pen' });
    for (const n of [0, 1, 2]) await tx.put('steps', { draft: 'under the pen', n });
    await tx.put('steps', { draft: 'another', n: 1 });
  });
  failWrites({ at: 1, way: 'fails at commit', lasting: true });
  await assert.rejects(log.append(observation(), { clearingDraft: 'under the pen' }));
  failWrites();
  const before = await disk.run(['steps'], 'readonly', (tx) => tx.count('steps'));

  await log.append(observation(), { clearingDraft: 'under the pen' });

  const after = await disk.run(['drafts', 'steps'], 'readonly', async (tx) => [await tx.all('drafts'), await tx.all('steps')]);
  assert.deepEqual([before, after], [4, [[], [{ draft: 'another', n: 1 }]]]);
});

test('acts are taken back and done again in order, and a new one cuts off the rest', async () => {
  const { disk, log, platform } = await openTablet();
  for (const name of ['a', 'b', 'c']) await log.append(observation(), { act: { push: name } });
  await log.append(observation(), { act: { undo: 3 } });
  await log.append(observation(), { act: { undo: 2 } });

  const reopened = await TabletLog.open({ disk, platform });
  const { undo, redo, count } = await reopened.nextActs();
  assert.deepEqual([undo?.act, redo?.act, count], ['a', 'b', 1]);

  await reopened.append(observation(), { act: { push: 'd' } });
  const after = await reopened.nextActs();
  assert.deepEqual([after.undo?.act, after.redo, after.count], ['d', null, 2]);
  assert.equal((await log.acts()).acts.length, 2);
});

test('hundreds of acts are kept, and the oldest fall away', async () => {
  const { log } = await openTablet();
  for (let number = 1; number <= MOST_ACTS + 5; number += 1) await log.append(observation(), { act: { push: number } });

  const { undo, count } = await log.nextActs();
  const { acts } = await log.acts();

  assert.deepEqual([undo?.act, count, acts.length, acts[0].act], [MOST_ACTS + 5, MOST_ACTS, MOST_ACTS, 6]);
});

test('an act that another page took back is not taken back twice', async () => {
  const { log } = await openTablet();
  await log.append(observation(), { act: { push: 'a' } });
  await log.append(observation(), { act: { undo: 1 } });

  await assert.rejects(log.append(observation(), { act: { undo: 1 } }), /another tab/);

  assert.equal((await log.entries()).length, 2);
});

test('listeners hear of a commit, not before it', async () => {
  const { log, disk } = await openTablet();
  const heard = [];
  log.onChange(({ rows }) => heard.push(...rows.map(({ id }) => id)));
  failWrites({ at: 1, way: 'aborts', lasting: true });
  await assert.rejects(log.append(observation()));
  failWrites();
  assert.deepEqual(heard, []);

  const [kept] = await log.append(observation());

  assert.deepEqual(heard, [kept.id]);
  assert.ok(await disk.run(['entries'], 'readonly', (tx) => tx.get('entries', kept.id)));
});

test('photographs are kept byte for byte, once', async () => {
  const { log } = await openTablet();
  const bytes = Uint8Array.from({ length: 1000 }, (_, index) => (index * 7) % 256);

  const digest = await log.keepPhotograph({ bytes: bytes.buffer.slice(0), mime: 'image/heic' });
  const again = await log.keepPhotograph({ bytes: bytes.buffer.slice(0), mime: 'image/heic' });

  const kept = await log.photograph(digest);
  assert.deepEqual([new Uint8Array(/** @type {any} */ (kept).bytes), kept?.mime, again, log.unsent().photographs], [bytes, 'image/heic', digest, 1]);
});

test('photographs stop before the room for outlines is touched, and outlines go on', async () => {
  const MB = 1_000_000;
  const platform = { ...quietPlatform(), room: async () => ({ usage: 340 * MB, quota: 400 * MB }) };
  const { log } = await openTablet({ platform });
  const small = new Uint8Array(10 * MB).buffer;
  const large = new Uint8Array(10 * MB + 1).buffer;

  await log.keepPhotograph({ bytes: small, mime: 'image/jpeg' });
  await assert.rejects(log.keepPhotograph({ bytes: large, mime: 'image/jpeg' }), /50 MB stay free for outlines/);
  await log.append(observation());

  assert.deepEqual(log.unsent(), { entries: 1, photographs: 1 });
});

test('what the server set aside stays until it comes back in a pull', async () => {
  const { disk, log, platform } = await openTablet();
  const [kept] = await log.append(observation());
  log.changed(/** @type {any} */ (await acknowledge(disk, [receiptOf(kept, { status: 'set aside', seq: null, message: 'The survey is closed.' })], contact())));
  assert.deepEqual([log.unsent().entries, log.setAside().map(({ message }) => message)], [0, ['The survey is closed.']]);
  platform.clock_ms += 100 * DAY_MS;
  await log.forget(platform.now_ms());
  assert.equal((await log.entries()).length, 1);

  log.changed(/** @type {any} */ (await storePage(disk, [pulledOf(kept, 7)], contact())));

  const [row] = await log.entries();
  assert.deepEqual([log.setAside(), row.seq, row.own], [[], 7, true]);
});

test('a receipt counts only when id and digest are ours and the epoch is the one we know', async () => {
  const { disk, log } = await openTablet();
  const [one, two] = await log.append([observation(), observation()]);

  const otherEpoch = await acknowledge(disk, [receiptOf(one)], { ...contact(), epoch: 'epoch-2' });
  const change = /** @type {any} */ (await acknowledge(disk, [receiptOf(one, { digest: two.digest }), receiptOf({ ...two, id: idOf(12345) }), receiptOf(two, { status: 'burnt' }), null, { id: 5 }], contact()));

  assert.equal(otherEpoch, null);
  assert.deepEqual([change.rows, change.tally.entries], [[], 2]);
});

test('an own entry that comes back in a pull is held, and one that says something else is not written over', async () => {
  const { disk, log } = await openTablet();
  const [one, two] = await log.append([observation(), observation()]);

  await storePage(disk, [pulledOf(one, 1), { ...pulledOf(two, 2), digest: one.digest, body: { note: 'changed on the way' } }], contact());

  await log.refresh();
  const rows = new Map((await log.entries()).map((row) => [row.id, row]));
  assert.equal(log.unsent().entries, 1);
  assert.deepEqual([rows.get(one.id)?.held?.epoch, rows.get(two.id)?.held, rows.get(two.id)?.body], ['epoch-1', null, two.entry.body]);
});

test('a new epoch brings all own entries back into the outbox, photographs too, and the cursor to the start', async () => {
  const { disk, log } = await openTablet();
  const kept = await log.append([observation(), observation()]);
  await acknowledge(disk, kept.map((each) => receiptOf(each)), contact());
  await storePage(disk, kept.map((each, index) => pulledOf(each, index + 1)), contact());

  log.changed(await beginEpoch(disk, 'epoch-2'));

  const sync = await disk.run(['meta'], 'readonly', (tx) => tx.get('meta', 'sync'));
  assert.deepEqual([log.unsent().entries, sync.cursor, sync.epoch, log.enrolment()?.epoch], [2, 0, 'epoch-2', 'epoch-2']);
});

/** An entry and a photograph that may go in every respect. */
async function forgettable() {
  const tablet = await openTablet();
  const { disk, log } = tablet;
  const digest = await log.keepPhotograph({ bytes: new Uint8Array([1, 2, 3]).buffer, mime: 'image/jpeg' });
  const [kept] = await log.append(observation({ kind: 'photograph', body: { digest, role: 'note' } }));
  await acknowledge(disk, [receiptOf(kept)], contact());
  await storePage(disk, [pulledOf(kept, 1)], contact(START_MS + 15 * DAY_MS));
  await disk.run(['pack', 'blobs'], 'readwrite', async (tx) => {
    await tx.put('blobs', { ...(await tx.get('blobs', digest)), held: contact() });
    await tx.put('pack', { name: 'pack', pack: { epoch: 'epoch-1', head: 1 } });
  });
  return { ...tablet, digest, kept };
}

test('what is held, pulled past, packed and 14 days old is forgotten', async () => {
  const { log } = await forgettable();

  const early = await log.forget(START_MS + 14 * DAY_MS - 1);
  const gone = await log.forget(START_MS + 14 * DAY_MS);

  assert.deepEqual([early, gone], [{ entries: 0, photographs: 0 }, { entries: 1, photographs: 1 }]);
});

const KEEPS = {
  'no digest was acknowledged': (tx, kept) => edit(tx, 'entries', kept.id, { held: null }),
  'it was acknowledged in another epoch': (tx, kept) => edit(tx, 'entries', kept.id, { held: { epoch: 'epoch-0', at_ms: START_MS, server_ms: START_MS } }),
  'the server has not had it for 14 days, whatever this clock says': (tx, kept) => edit(tx, 'entries', kept.id, { held: { epoch: 'epoch-1', at_ms: START_MS, server_ms: START_MS + 14 * DAY_MS } }),
  'its place is not known': (tx, kept) => edit(tx, 'entries', kept.id, { seq: null }),
  'the pull has not passed it': (tx) => edit(tx, 'meta', 'sync', { cursor: 0 }),
  'the pack does not reach it': (tx) => edit(tx, 'pack', 'pack', { pack: { epoch: 'epoch-1', head: 0 } }),
  'the pack is of another epoch': (tx) => edit(tx, 'pack', 'pack', { pack: { epoch: 'epoch-0', head: 9 } }),
  'there is no pack': (tx) => tx.delete('pack', 'pack'),
};

/** @param {any} tx @param {string} store @param {string} key @param {any} change */
async function edit(tx, store, key, change) {
  await tx.put(store, { ...(await tx.get(store, key)), ...change });
}

for (const [why, change] of Object.entries(KEEPS)) {
  test(`an entry and its photograph stay when ${why}`, async () => {
    const { disk, log, kept } = await forgettable();
    await disk.run(['entries', 'meta', 'pack'], 'readwrite', (tx) => change(tx, kept));

    const gone = await log.forget(START_MS + 400 * DAY_MS);

    assert.deepEqual(gone, { entries: 0, photographs: 0 });
  });
}

test('the file of work holds entries, photographs not held yet and drafts with their steps', async () => {
  const { disk, log } = await openTablet();
  const [kept] = await log.append(observation());
  const digest = await log.keepPhotograph({ bytes: new Uint8Array([0xff, 0xd8, 0xff]).buffer, mime: 'image/jpeg' });
  await disk.run(['drafts', 'steps'], 'readwrite', async (tx) => {
    await tx.put('drafts', { id: 'd', cell: 'C17' });
    await tx.put('steps', { draft: 'd', n: 1, step: [] });
  });

  const work = JSON.parse(JSON.stringify(await log.exportWork()));

  const { epoch, device, wall, survey } = ENROLMENT;
  assert.deepEqual(work, {
    format: 'pontata-work', version: 1, device, wall, survey, epoch, made_at: '2026-11-25T08:00:00Z',
    entries: [{ ...kept.entry, device_seq: 1, digest: kept.digest }],
    photographs: [{ digest, mime: 'image/jpeg', base64: '/9j/' }],
    drafts: [{ id: 'd', cell: 'C17', steps: [{ draft: 'd', n: 1, step: [] }] }],
  });
});

test('with a dead disk the file of work comes from memory, with what could not be written', async () => {
  const { disk, log } = await openTablet();
  const [kept] = await log.append(observation());
  disk.run = async () => { throw new DiskFailed('The disk is dead.'); };
  await assert.rejects(log.append(observation({ id: idOf(77) })), DiskFailed);
  await assert.rejects(log.keepPhotograph({ bytes: new Uint8Array([1]).buffer, mime: 'image/jpeg' }), DiskFailed);

  const work = await log.exportWork();

  assert.deepEqual(work.entries.map(({ id, device_seq }) => [id, device_seq]), [[kept.id, 1], [idOf(77), null]]);
  assert.deepEqual(work.photographs.map(({ base64 }) => base64), ['AQ==']);
  assert.equal(work.made_at, '2026-11-25T08:00:00Z');
});

test('what was written at a second try is not in the file twice', async () => {
  const { log } = await openTablet();
  failWrites({ at: 1, way: 'aborts', lasting: true });
  await assert.rejects(log.append(observation({ object_id: idOf(501) }), { clearingDraft: 'd' }), DiskFailed);
  failWrites();
  await log.append(observation({ object_id: idOf(502) }), { clearingDraft: 'd' });

  const work = await log.exportWork();

  assert.deepEqual(work.entries.map(({ object_id }) => object_id), [idOf(502)]);
});
