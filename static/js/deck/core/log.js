/**
 * What has been said on this tablet? Keeps entries, photographs and what undo needs on its disk; a promise resolves only
 * when the disk has it. What came of sending is written by received.js, what leaves the tablet by forgetting.js.
 */
import { InvalidStatement, canonicalText, madeAt, statementOf } from './canonical.js';
import { exportOf } from './export.js';
import { forgetHeld } from './forgetting.js';
import { keepPhotograph, readPhotograph } from './photographs.js';
import { MOST_ENTRY_BYTES, readActs, readEnrolment, readTally, writeAct, writeSync } from './rows.js';

/** @typedef {import('./disk.js').Disk} Disk */
/** @typedef {import('./disk.js').Tx} Tx */
/** @typedef {import('./platform.js').Platform} Platform */
/** @typedef {import('./canonical.js').Statement} Statement */
/** @typedef {import('./rows.js').EntryRow} EntryRow */
/** @typedef {import('./rows.js').Enrolment} Enrolment */
/** @typedef {import('../../shared/port.js').EntryDraft} EntryDraft */
/** @typedef {{id: string, digest: string, device_seq: number, entry: Statement}} Kept */
/** @typedef {{push: any} | {undo: number} | {redo: number}} ActStep */
/** @typedef {{row: EntryRow, clearingDraft: string | null}} Unwritten */
/** @typedef {{rows: EntryRow[], everything: boolean}} Change rows that came or changed; everything: read all anew */

const encoder = new TextEncoder();

export class TabletLog {
  /** @param {{disk: Disk, platform: Platform}} options */
  constructor({ disk, platform }) {
    this.disk = disk;
    this.platform = platform;
    /** @private @type {Enrolment | null} */
    this.enrolled = null;
    /** @private */
    this.counts = { entries: 0, photographs: 0 };
    /** @private @type {EntryRow[]} */
    this.aside = [];
    /** @type {number | null} when the server was last heard, by this tablet's clock */
    this.contact_ms = null;
    /** @private @type {((change: Change) => void)[]} */
    this.listeners = [];
    /** What this page holds in memory, for the day on which the disk fails. */
    this.memory = {
      /** @type {Map<string, EntryRow>} */
      own: new Map(),
      /** @type {Map<string, Unwritten>} */
      unwritten: new Map(),
      /** @type {Map<string, {bytes: ArrayBuffer, mime: string}>} */
      photographs: new Map(),
    };
    this.tellOthers = platform.among?.('pontata-deck', () => void this.refresh({ told: true }).catch(() => {})) ?? (() => {});
  }

  /** @param {{disk: Disk, platform: Platform}} options */
  static async open(options) {
    const log = new TabletLog(options);
    await log.refresh();
    return log;
  }

  /** Read again what stands on the disk, which another tab may have changed. @param {{told?: boolean}} [options] */
  async refresh({ told = false } = {}) {
    const { enrolled, tally } = await this.disk.run(['meta', 'entries', 'outbox', 'blobs'], 'readonly', async (tx) => ({ enrolled: await readEnrolment(tx), tally: await readTally(tx) }));
    this.enrolled = enrolled;
    this.stand(tally);
    if (told) this.hear({ rows: [], everything: true });
  }

  /** @private @param {import('./rows.js').Tally} tally */
  stand({ sync, entries, photographs, aside }) {
    if (this.enrolled && sync.epoch !== null && sync.epoch !== this.enrolled.epoch) this.enrolled = { ...this.enrolled, epoch: sync.epoch };
    this.aside = aside;
    this.contact_ms = sync.contact_ms;
    this.counts = { entries, photographs };
  }

  /** @returns {Enrolment | null} */
  enrolment() {
    return this.enrolled;
  }

  /** This store belongs to a tablet of a survey from now on. @param {Enrolment} enrolment */
  async enrol({ device, wall, survey, epoch, name }) {
    await this.disk.run(['meta'], 'readwrite', async (tx) => {
      await tx.put('meta', { key: 'enrolment', device, wall, survey, name });
      await writeSync(tx, { epoch, cursor: 0, server_ms: null, contact_ms: null, isPartial: false });
    });
    this.enrolled = { device, wall, survey, epoch, name };
    this.tell({ rows: [], everything: false });
  }

  /**
   * Keep statements; they stand or fall together, with the removal of the draft they come from and the undo step.
   * @param {EntryDraft | EntryDraft[]} drafts
   * @param {{clearingDraft?: string | null, act?: ActStep | null}} [options]
   * @returns {Promise<Kept[]>} once they are on the disk; a statement whose id is there already is not written again
   */
  async append(drafts, { clearingDraft = null, act = null } = {}) {
    /** @type {EntryRow[]} */
    const rows = [];
    for (const draft of [drafts].flat()) rows.push(await this.rowOf(draft));
    for (const row of rows) this.memory.unwritten.set(row.id, { row, clearingDraft });
    const stores = ['meta', 'entries', 'outbox', ...(clearingDraft ? ['drafts', 'steps'] : []), ...(act ? ['acts'] : [])];
    const { written, unsent } = await this.disk.run(stores, 'readwrite', async (tx) => ({
      written: await writeEntries(tx, rows, { clearingDraft, act }), unsent: await tx.count('outbox'),
    })).catch((error) => {
      if (error?.name !== 'DiskFailed') for (const { id } of rows) this.memory.unwritten.delete(id);
      throw error;
    });
    this.counts.entries = unsent;
    this.settle(written, clearingDraft);
    this.tell({ rows: written, everything: false });
    return written.map((row) => ({ id: row.id, digest: row.digest, device_seq: /** @type {number} */ (row.device_seq), entry: statementOf(row) }));
  }

  /** Every entry on this tablet, own and pulled. @returns {Promise<EntryRow[]>} */
  async entries() {
    const rows = await this.disk.run(['entries'], 'readonly', (tx) => tx.all('entries'));
    for (const row of rows) if (row.own) this.memory.own.set(row.id, row);
    return rows;
  }

  /** How many entries and photographs the server does not hold yet. */
  unsent() {
    return { ...this.counts };
  }

  /** Own entries that the server set aside for the lead conservator. */
  setAside() {
    return this.aside.map((row) => ({ id: row.id, kind: row.kind, made_at: row.made_at, device_seq: row.device_seq, message: row.aside?.message ?? '' }));
  }

  /**
   * Keep a photograph, byte for byte as it came.
   * @param {{bytes: ArrayBuffer, mime: string}} photograph
   * @returns {Promise<string>} its digest, once it is on the disk
   */
  async keepPhotograph({ bytes, mime }) {
    const digest = await keepPhotograph({ disk: this.disk, platform: this.platform, bytes, mime, whenRefused: (refused) => this.memory.photographs.set(refused, { bytes, mime }) });
    this.memory.photographs.delete(digest);
    await this.refresh();
    this.tell({ rows: [], everything: false });
    return digest;
  }

  /** @param {string} digest @returns {Promise<{digest: string, mime: string, bytes: ArrayBuffer} | null>} */
  photograph(digest) {
    return this.disk.run(['blobs', 'bytes'], 'readonly', (tx) => readPhotograph(tx, digest));
  }

  /** What can be taken back (n up to done) and done again (n beyond). @returns {Promise<{done: number, acts: {n: number, act: any}[]}>} */
  acts() {
    return this.disk.run(['meta', 'acts'], 'readonly', async (tx) => ({ done: (await readActs(tx)).done, acts: await tx.all('acts') }));
  }

  /** The act that undo takes back next, the one that redo does again, and how many can be taken back. @returns {Promise<{undo: {n: number, act: any} | null, redo: {n: number, act: any} | null, count: number}>} */
  nextActs() {
    return this.disk.run(['meta', 'acts'], 'readonly', async (tx) => {
      const { done, last, first } = await readActs(tx);
      return { undo: done >= first ? await tx.get('acts', done) ?? null : null, redo: done < last ? await tx.get('acts', done + 1) ?? null : null, count: done - first + 1 };
    });
  }

  /** Let go of what the server has held for long. @param {number} now_ms @returns {Promise<{entries: number, photographs: number}>} */
  async forget(now_ms) {
    const gone = await forgetHeld(this.disk, now_ms);
    for (const id of gone.entries) this.memory.own.delete(id);
    return { entries: gone.entries.length, photographs: gone.photographs.length };
  }

  /** Everything on this tablet as one file that the desk takes in; what the disk refuses comes from memory. */
  exportWork() {
    return exportOf({ disk: this.disk, memory: this.memory, enrolment: this.enrolled, made_at: madeAt(this.platform.now_ms()) });
  }

  /** Be told after each commit. @param {(change: Change) => void} listener @returns {() => void} what ends it */
  onChange(listener) {
    this.listeners.push(listener);
    return () => { this.listeners = this.listeners.filter((known) => known !== listener); };
  }

  /** Tell what was committed, here and in other tabs. @param {Change} change */
  tell(change) {
    for (const row of change.rows) if (row.own) this.memory.own.set(row.id, row);
    this.hear(change);
    this.tellOthers();
  }

  /** The server's answer changed what stands on the disk. @param {{rows?: EntryRow[], everything?: boolean, tally: import('./rows.js').Tally}} change */
  changed({ rows = [], everything = false, tally }) {
    this.stand(tally);
    this.tell({ rows, everything });
  }

  /** @private @param {Change} change */
  hear(change) {
    for (const listener of [...this.listeners]) listener(change);
  }

  /** @private @param {EntryDraft} draft @returns {Promise<EntryRow>} */
  async rowOf(draft) {
    const statement = statementOf({ ...draft, id: draft.id ?? this.platform.uuid7(), made_at: draft.made_at ?? madeAt(this.platform.now_ms()) });
    const text = canonicalText(statement);
    const bytes = encoder.encode(text);
    const size = bytes.length;
    if (size > MOST_ENTRY_BYTES) throw new InvalidStatement(`This statement takes ${size.toLocaleString('en-US')} bytes; the most is ${MOST_ENTRY_BYTES.toLocaleString('en-US')}. Draw the outline in parts.`);
    const digest = await this.platform.digestHex(bytes);
    return { ...JSON.parse(text), digest, own: true, device_seq: null, seq: null, size, held: null, aside: null };
  }

  /** What is written now need not be kept in memory as unwritten, nor an earlier try at the same thing. @private @param {EntryRow[]} rows @param {string | null} clearingDraft */
  settle(rows, clearingDraft) {
    for (const [id, { row, clearingDraft: draft }] of this.memory.unwritten) {
      const isSame = rows.some((written) => written.id === id || (written.object_id === row.object_id && written.kind === row.kind));
      if (isSame || (draft !== null && draft === clearingDraft)) this.memory.unwritten.delete(id);
    }
  }
}

/**
 * @param {Tx} tx
 * @param {EntryRow[]} rows
 * @param {{clearingDraft: string | null, act: ActStep | null}} options
 * @returns {Promise<EntryRow[]>} as they stand on the disk
 */
async function writeEntries(tx, rows, { clearingDraft, act }) {
  /** @type {EntryRow[]} */
  const written = [];
  const first = (await tx.get('meta', 'numbers'))?.device_seq ?? 0;
  let last = first;
  for (const row of rows) {
    const there = await tx.get('entries', row.id);
    if (there && there.digest !== row.digest) throw new InvalidStatement(`Entry ${row.id} is on this tablet already and says something else.`);
    if (!there) {
      last += 1;
      await tx.put('entries', { ...row, device_seq: last });
      await tx.put('outbox', { device_seq: last, id: row.id, size: row.size });
    }
    written.push(there ?? { ...row, device_seq: last });
  }
  if (clearingDraft) await clearDraft(tx, clearingDraft);
  if (last === first) return written; // a replay of what had been committed: the undo step is there too
  await tx.put('meta', { key: 'numbers', device_seq: last });
  if (act) await writeAct(tx, act);
  return written;
}

/** @param {Tx} tx @param {string} draft */
async function clearDraft(tx, draft) {
  for (const { n } of await tx.all('steps', [[draft, 0], [draft, Infinity]])) await tx.delete('steps', [draft, n]);
  await tx.delete('drafts', draft);
}
