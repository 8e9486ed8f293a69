/**
 * Is anything lost, or called saved too early, when the k-th write of a round on the deck fails? Every k up to 200, in
 * every way in which the browser's store fails, once and for good; then the page starts again and sends.
 */
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { IdbDisk } from '../../../../static/js/deck/core/disk.js';
import { TabletLog } from '../../../../static/js/deck/core/log.js';
import { Sync } from '../../../../static/js/deck/core/sync.js';
import { FakeServer } from '../sim/fake_server.mjs';
import { WAYS, failWrites, faults } from './failing_writes.mjs';
import { DAY_MS, DEVICE, ENROLMENT, diskNamed, freshName, observation, quietPlatform, wireTo } from './tablet.mjs';

const MOST_WRITES = 200;
const OUTLINES = 7;

/** What was said to the person during a round, and what came out of it. */
class Round {
  constructor() {
    this.name = freshName();
    this.platform = quietPlatform();
    this.server = new FakeServer({ now_ms: () => this.platform.now_ms() });
    this.server.enrol(DEVICE);
    this.wire = wireTo(this.server);
    /** @type {Map<string, string>} entry id -> digest, said to be saved */
    this.saved = new Map();
    /** @type {Map<string, string | null>} entry id -> the draft it was to clear, said not to be saved */
    this.refused = new Map();
    /** @type {Map<string, Uint8Array>} */
    this.photographs = new Map();
    /** @type {Map<string, number>} draft -> the last vertex said to be saved */
    this.vertices = new Map();
    /** @type {string[]} */
    this.early = [];
    /** A connection of its own on the same store, through which "saved" is held against the disk at once. */
    this.eye = diskNamed(this.name);
  }

  async run() {
    this.disk = diskNamed(this.name);
    this.log = await TabletLog.open({ disk: this.disk, platform: this.platform });
    await this.attempt(() => this.log.enrol(ENROLMENT));
    const sync = new Sync({ log: this.log, wire: this.wire, platform: this.platform, part_bytes: 40 });
    for (let number = 0; number < OUTLINES; number += 1) {
      await this.drawAndPutDown(number);
      if (number === 1) await this.photograph();
      if (number === 2) await this.takeBack();
      if (number === 3) await sync.syncOnce();
      if (number === 4) this.server.recover({ ...this.server.backup(), rows: 1 }, 'epoch-2');
      if (number === 5) await sync.syncOnce();
    }
    await sync.syncOnce();
    await this.forgetOld();
    await this.close();
  }

  /** @param {number} number */
  async drawAndPutDown(number) {
    const draft = `draft-${number}`;
    for (let n = 1; n <= 3; n += 1) {
      await this.attempt(async () => {
        await this.disk.run(['drafts', 'steps'], 'readwrite', async (tx) => {
          await tx.put('steps', { draft, n, point: [n, n] });
          await tx.put('drafts', { id: draft, n });
        });
        this.vertices.set(draft, n);
        const { row } = await this.seen(['drafts'], async (tx) => ({ row: await tx.get('drafts', draft) }));
        if (row?.n !== n) this.early.push(`vertex ${n} of ${draft}`);
      });
    }
    await this.append(observation({ id: this.platform.uuid7(), object_id: this.platform.uuid7() }), { clearingDraft: draft, act: { push: { number } } });
  }

  /** @param {any} draft @param {{clearingDraft?: string, act?: any}} [options] */
  async append(draft, options = {}) {
    this.refused.set(draft.id, options.clearingDraft ?? null);
    await this.attempt(async () => {
      const [kept] = await this.log.append(draft, options);
      this.refused.delete(draft.id);
      this.saved.set(kept.id, kept.digest);
      const { entry, waiting } = await this.seen(['entries', 'outbox'], async (tx) => ({ entry: await tx.get('entries', kept.id), waiting: await tx.get('outbox', kept.device_seq) }));
      if (entry?.digest !== kept.digest || waiting?.id !== kept.id) this.early.push(`entry ${kept.id}`);
    });
  }

  async photograph() {
    const bytes = Uint8Array.from({ length: 100 }, (_, index) => index);
    await this.attempt(async () => {
      const digest = await this.log.keepPhotograph({ bytes: bytes.buffer.slice(0), mime: 'image/jpeg' });
      this.photographs.set(digest, bytes);
      const { kept } = await this.seen(['blobs', 'bytes'], async (tx) => ({ kept: (await tx.get('blobs', digest)) && (await tx.get('bytes', digest)) }));
      if (!kept) this.early.push(`photograph ${digest}`);
      await this.append({ ...observation(), id: this.platform.uuid7(), object_id: this.platform.uuid7(), kind: 'photograph', body: { digest, role: 'note' } });
    });
  }

  async takeBack() {
    await this.attempt(async () => {
      const { undo } = await this.log.nextActs();
      const last = (await this.log.entries()).filter(({ kind }) => kind === 'observation').pop();
      if (!undo || !last) return;
      await this.append({ ...observation(), id: this.platform.uuid7(), object_id: last.object_id, kind: 'withdrawal', parents: [last.id], body: { reason: 'undone at once' } }, { act: { undo: undo.n } });
    });
  }

  async forgetOld() {
    await this.attempt(() => this.disk.run(['pack'], 'readwrite', (tx) => tx.put('pack', { name: 'pack', pack: { epoch: this.server.epoch, head: this.server.rows.length } })));
    this.platform.clock_ms += 15 * DAY_MS;
    const work = await this.log.exportWork();
    const exported = new Set(work.entries.map(({ id }) => id));
    this.notExported = [...this.saved.keys(), ...this.refused.keys()].filter((id) => !exported.has(id));
    await this.attempt(() => this.log.forget(this.platform.now_ms()));
  }

  /** Only a failed disk may be told. @param {() => Promise<any>} work */
  async attempt(work) {
    try {
      await work();
    } catch (error) {
      if (error?.name !== 'DiskFailed') throw error;
    }
  }

  /** @template T @param {string[]} stores @param {(tx: any) => Promise<T>} look @returns {Promise<T>} */
  async seen(stores, look) {
    return this.eye.run(stores, 'readonly', look);
  }

  async close() {
    await this.disk?.close();
    await this.eye.close();
  }
}

/** After the restart: what was said must be so. @param {Round} round @param {string} which */
async function check(round, which) {
  const disk = new IdbDisk({ openDB: (await import('idb')).openDB, name: round.name });
  const log = await TabletLog.open({ disk, platform: round.platform });
  if (!log.enrolment()) await log.enrol(ENROLMENT);
  const rows = new Map((await log.entries()).map((row) => [row.id, row]));
  const drafts = await disk.run(['drafts', 'steps'], 'readonly', async (tx) => ({ drafts: await tx.all('drafts'), steps: await tx.all('steps') }));

  assert.deepEqual(round.early, [], `${which}: called saved too early`);
  assert.deepEqual(round.notExported, [], `${which}: not in the file of work`);
  for (const [id, digest] of round.saved) {
    const onServer = round.server.byId.get(id)?.digest;
    assert.ok(rows.get(id)?.digest === digest || onServer === digest, `${which}: entry ${id} was called saved and is gone`);
  }
  for (const [id, draft] of round.refused) {
    assert.ok(!rows.has(id), `${which}: entry ${id} was called not saved and stands`);
    if (draft && round.vertices.has(draft)) assert.ok(drafts.drafts.some((row) => row.id === draft), `${which}: ${draft} is gone though its entry was not saved`);
  }
  for (const [draft, n] of round.vertices) {
    const isPutDown = !drafts.drafts.some(({ id }) => id === draft);
    if (!isPutDown) assert.ok(drafts.steps.filter((step) => step.draft === draft).length >= n, `${which}: ${draft} lost a vertex`);
  }
  for (const digest of round.photographs.keys()) assert.ok(await log.photograph(digest) || round.server.blobs.has(digest), `${which}: photograph ${digest} is gone`);
  await sendAll(round, { log, rows, which });
  await disk.close();
}

/** Healed, everything goes up, with gapless numbers. @param {Round} round @param {{log: TabletLog, rows: Map<string, any>, which: string}} options */
async function sendAll(round, { log, rows, which }) {
  const own = [...rows.values()].filter((row) => row.own);
  const numbers = own.map((row) => row.device_seq).sort((one, other) => one - other);
  const sync = new Sync({ log, wire: wireTo(round.server), platform: round.platform });
  await sync.syncOnce();

  assert.equal(sync.state.phase, 'idle', `${which}: ${sync.state.message}`);
  assert.deepEqual(log.unsent(), { entries: 0, photographs: 0 }, which);
  for (const row of own) assert.equal(round.server.byId.get(row.id)?.digest, row.digest, `${which}: ${row.id} did not arrive`);
  for (const id of round.saved.keys()) assert.ok(round.server.byId.has(id), `${which}: ${id} was called saved and did not arrive`);
  for (const digest of round.photographs.keys()) assert.ok(round.server.blobs.has(digest), `${which}: photograph did not arrive`);
  assert.equal(new Set(numbers).size, numbers.length, `${which}: a number was given twice`);
  const { received } = /** @type {any} */ (round.server.tablets.get(DEVICE));
  const given = [...received].sort((one, other) => one - other);
  assert.deepEqual(given, given.map((_, index) => index + 1), `${which}: the numbers have a gap`);
}

test('a round without faults makes enough writes', async () => {
  const round = new Round();
  failWrites();

  await round.run();

  assert.ok(faults.writes >= MOST_WRITES, `${faults.writes} writes`);
  await check(round, 'no fault');
  assert.equal(round.refused.size, 0);
});

for (const way of WAYS) {
  for (const lasting of [false, true]) {
    test(`nothing is lost when any write ${way}${lasting ? ', and every later one' : ''}`, async () => {
      let struck = 0;
      for (let at = 1; at <= MOST_WRITES; at += 1) {
        const round = new Round();
        failWrites({ at, way, lasting });

        await round.run();

        struck += Math.min(1, faults.struck);
        failWrites();
        await check(round, `write ${at} ${way}`);
      }
      assert.equal(struck, MOST_WRITES);
    });
  }
}
