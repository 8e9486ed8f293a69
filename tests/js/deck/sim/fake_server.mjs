/**
 * What does a server answer that keeps the tablets' contract? It holds one survey's logbook in memory, may be put
 * back to an older state, and passes the same recorded pushes as the real one. It is no client and knows none.
 */
import { createHash } from 'node:crypto';
import { statementFault } from './fake_rules.mjs';

export const MOST_ENTRIES = 200;
export const MOST_BYTES = 1_000_000;
export const LARGEST_PART_BYTES = 8 * 1024 * 1024;
/** What a survey that is no longer open takes only as an amendment. */
const NEWLY_SEEN = new Set(['observation', 'examination', 'survey-closed', 'session', 'daily-check', 'spot-reading', 'fragment']);
const STATEMENT_KEYS = ['body', 'id', 'kind', 'kind_version', 'made_at', 'object_id', 'observed_by', 'parents', 'recorded_by'];

/** @typedef {{status: number, body: any}} Answer */
/** @typedef {{statement: any, seq: number, digest: string, carried_by: string, device: string, device_seq: number | null, received_at: string, at_ms: number}} Row */
/** @typedef {{statement: any, digest: string, claimed: string, reason: string, device: string, device_seq: number | null, settled: boolean}} Aside */

export class FakeServer {
  /** @param {{now_ms: () => number, epoch?: string}} options */
  constructor({ now_ms, epoch = 'epoch-1' }) {
    this.now_ms = now_ms;
    this.epoch = epoch;
    this.clockFixed = false;
    this.surveyState = 'open';
    /** @type {(answer: any) => any} what a newer server adds to its answers */
    this.dressed = (answer) => answer;
    /** @type {Row[]} the logbook: seq is the place + 1 */
    this.rows = [];
    /** @type {Map<string, Row>} */
    this.byId = new Map();
    /** @type {Map<string, Row[]>} object -> its entries */
    this.byObject = new Map();
    /** @type {Map<string, Row>} device and number -> entry */
    this.byPlace = new Map();
    /** @type {Aside[]} */
    this.asides = [];
    /** @type {Map<string, Aside>} */
    this.asideByKey = new Map();
    /** @type {Map<string, {retired: boolean, received: Set<number>}>} */
    this.tablets = new Map();
    /** @type {Set<string>} id and digest of all that was ever taken, also before an older state was put back */
    this.taken = new Set();
    /** @type {Map<string, {bytes: Uint8Array, at_ms: number}>} whole photographs */
    this.blobs = new Map();
    /** @type {Map<string, Uint8Array>} photographs of which a part has come */
    this.parts = new Map();
  }

  /** @param {string} tablet */
  enrol(tablet) {
    this.tablets.set(tablet, { retired: false, received: new Set() });
  }

  /** @param {string} tablet */
  retire(tablet) {
    const known = this.tablets.get(tablet);
    if (known) known.retired = true;
  }

  /** What a backup holds; rows are never changed, so that their number says enough. */
  backup() {
    return {
      rows: this.rows.length,
      asides: this.asides.length,
      settled: new Set(this.asides.filter(({ settled }) => settled).map(keyOf)),
      blobs: new Map(this.blobs),
      parts: new Map(this.parts),
      tablets: new Map([...this.tablets].map(([id, { retired }]) => [id, retired])),
    };
  }

  /** Put an older state back; the installation is a new one from now on. @param {ReturnType<FakeServer['backup']>} backup @param {string} epoch */
  recover(backup, epoch) {
    const rows = this.rows.slice(0, backup.rows);
    const asides = this.asides.slice(0, backup.asides);
    this.rows = [];
    this.asides = [];
    for (const index of [this.byId, this.byObject, this.byPlace, this.asideByKey]) index.clear();
    this.tablets = new Map([...backup.tablets].map(([id, retired]) => [id, { retired, received: new Set() }]));
    rows.forEach((row) => this.file(row));
    asides.forEach((aside) => this.fileAside({ ...aside, settled: backup.settled.has(keyOf(aside)) }));
    this.blobs = new Map(backup.blobs);
    this.parts = new Map(backup.parts);
    this.epoch = epoch;
  }

  /** @param {string | null} account @param {string} tablet @param {string[]} allowed @returns {Answer | null} */
  refusal(account, tablet, allowed = ALLOWED) {
    if (account === null) return { status: 401, body: { message: 'Sign in again; nothing on this tablet is lost.', field: null, reason: 'sign-in' } };
    if (!this.tablets.has(tablet)) return { status: 404, body: { message: 'This tablet is not enrolled here.', field: null, reason: 'unknown-tablet' } };
    if (!allowed.includes(account)) return { status: 403, body: { message: `${account} has no part in this wall.`, field: null, reason: 'no-part' } };
    return null;
  }

  /** @param {{account: string | null, tablet: string, text: string}} call @returns {Answer} */
  push({ account, tablet, text }) {
    const refusal = this.refusal(account, tablet);
    if (refusal) return refusal;
    if (Buffer.byteLength(text) > MOST_BYTES) return tooMuch('A batch holds at most 1 MB; send fewer entries at once.');
    const body = parsed(text);
    const broken = envelopeFault(body);
    if (broken) return { status: 400, body: broken };
    if (body.entries.length > MOST_ENTRIES) return tooMuch(`A batch holds at most ${MOST_ENTRIES} entries; this one holds ${body.entries.length}.`);
    const receipts = body.entries.map((/** @type {any} */ sent) => this.take(sent, { account: /** @type {string} */ (account), tablet }));
    return this.said({ survey_state: this.surveyState, retired: this.tablets.get(tablet)?.retired === true, receipts, received_to: this.receivedTo(tablet) });
  }

  /** One entry of a batch. @param {any} sent @param {{account: string, tablet: string}} from */
  take(sent, { account, tablet }) {
    const device = `tablet ${tablet}`;
    const statement = statementOf(sent);
    const digest = digestOf(statement);
    const device_seq = Number.isInteger(sent.device_seq) ? sent.device_seq : null;
    const known = this.byId.get(statement.id);
    if (known && known.digest === digest && sent.digest === digest) return this.receipt(sent, 'already there', known.seq, digest);
    const aside = this.asideByKey.get(keyOf({ device, digest, claimed: sent.digest, device_seq }));
    if (aside && !aside.settled) return this.receipt(sent, 'set aside', null, digest, aside.reason);
    const reason = this.whySetAside({ sent, statement, digest, device, tablet });
    if (reason) {
      this.fileAside({ statement, digest, claimed: sent.digest, reason, device, device_seq, settled: false });
      return this.receipt(sent, 'set aside', null, digest, reason);
    }
    const conflict = this.wouldConflict(statement);
    this.file({ statement, seq: this.rows.length + 1, digest, carried_by: account, device, device_seq, ...this.moment() });
    return this.receipt(sent, conflict ? 'stored as conflict' : 'stored', this.rows.length, digest);
  }

  /** @param {{sent: any, statement: any, digest: string, device: string, tablet: string}} options */
  whySetAside({ sent, statement, digest, device, tablet }) {
    if (this.tablets.get(tablet)?.retired) return 'This tablet is retired.';
    if (sent.digest !== digest) return 'The digest that came with this entry is not that of what came.';
    if (this.byId.has(statement.id)) return `Entry ${statement.id} is already in a logbook and says something else.`;
    if (this.surveyState !== 'open' && NEWLY_SEEN.has(statement.kind) && !statement.parents?.length) return `The survey is ${this.surveyState}; this waits for the lead.`;
    const place = this.byPlace.get(`${device} ${sent.device_seq}`);
    if (place) return `device_seq is ${sent.device_seq}, which this device gave to another entry.`;
    return statementFault(statement, { rowOf: (id) => this.byId.get(id), rowsOf: (object) => this.byObject.get(object) ?? [] });
  }

  /** Heads that say different things: a person decides. @param {any} statement */
  wouldConflict(statement) {
    const rows = this.byObject.get(statement.object_id) ?? [];
    const replaced = new Set([...rows.flatMap((row) => row.statement.parents), ...statement.parents]);
    const saying = (/** @type {any} */ one) => canonical([one.kind, one.kind_version, one.body]);
    return rows.some((row) => !replaced.has(row.statement.id) && saying(row.statement) !== saying(statement));
  }

  /** The lead takes what was set aside into the logbook after all, if it can be an entry. @param {Aside} aside */
  takeAside(aside) {
    const { statement, digest, claimed, device, device_seq } = aside;
    const fault = statementFault(statement, { rowOf: (id) => this.byId.get(id), rowsOf: (object) => this.byObject.get(object) ?? [] });
    if (fault || aside.settled || claimed !== digest || this.byId.has(statement.id) || this.byPlace.has(`${device} ${device_seq}`)) return;
    aside.settled = true;
    this.file({ statement, seq: this.rows.length + 1, digest, carried_by: 'ines', device, device_seq, ...this.moment() });
  }

  /** The lead closes the survey: an entry of its own, and nothing newly seen is taken after it. */
  close() {
    const id = '0193c000-0000-7000-8000-999999999999';
    this.desk({ body: {}, id, kind: 'survey-closed', kind_version: 1, made_at: '2026-11-18T18:00:00Z', object_id: id, observed_by: 'Ines Fallow', parents: [], recorded_by: 'Ines Fallow' }, 'ines');
    this.surveyState = 'closed';
  }

  /** An entry that the desk writes. @param {any} statement @param {string} account */
  desk(statement, account = 'tomas') {
    this.file({ statement, seq: this.rows.length + 1, digest: digestOf(statement), carried_by: account, device: 'desk', device_seq: null, ...this.moment() });
  }

  moment() {
    const at_ms = this.now_ms();
    return { at_ms, received_at: new Date(at_ms).toISOString() };
  }

  /** @param {Row} row */
  file(row) {
    this.rows.push(row);
    this.byId.set(row.statement.id, row);
    const family = this.byObject.get(row.statement.object_id);
    if (family) family.push(row);
    else this.byObject.set(row.statement.object_id, [row]);
    if (row.device_seq !== null) this.byPlace.set(`${row.device} ${row.device_seq}`, row);
    this.count(row);
  }

  /** @param {Aside} aside */
  fileAside(aside) {
    this.asides.push(aside);
    this.asideByKey.set(keyOf(aside), aside);
    this.count(aside);
  }

  /** @param {Row | Aside} held */
  count({ statement, digest, device, device_seq }) {
    this.taken.add(`${statement.id} ${digest}`);
    const tablet = this.tablets.get(device.slice('tablet '.length));
    if (tablet && device_seq !== null) tablet.received.add(device_seq);
  }

  /** The highest number up to which this tablet's entries are all held. @param {string} tablet */
  receivedTo(tablet) {
    const received = this.tablets.get(tablet)?.received ?? new Set();
    let highest = 0;
    while (received.has(highest + 1)) highest += 1;
    return highest;
  }

  /** @param {{account: string | null, tablet: string, after: number, limit?: number}} call @returns {Answer} */
  pull({ account, tablet, after, limit = MOST_ENTRIES }) {
    const refusal = this.refusal(account, tablet);
    if (refusal) return refusal;
    const most = Math.min(limit, MOST_ENTRIES);
    const entries = this.rows.slice(after, after + most).map(({ statement, at_ms: _at_ms, ...place }) => ({ ...statement, ...place }));
    while (entries.length > 1 && Buffer.byteLength(JSON.stringify(entries)) > MOST_BYTES) entries.length >>= 1;
    return this.said({ survey_state: this.surveyState, head: this.rows.length, entries });
  }

  /** @param {{account: string | null, tablet: string, digest: string}} call @returns {Answer} */
  blobState({ account, tablet, digest }) {
    const refusal = this.refusal(account, tablet);
    if (refusal) return refusal;
    const whole = this.blobs.get(digest);
    if (whole) return { status: 200, body: this.dressed({ digest, held: whole.bytes.length, complete: true }) };
    return { status: 200, body: this.dressed({ digest, held: this.parts.get(digest)?.length ?? 0, complete: false }) };
  }

  /** @param {{account: string | null, tablet: string, digest: string, offset: number, total: number, bytes: Uint8Array, isStopped?: boolean}} call isStopped: before it can keep the whole @returns {Answer} */
  blobPart({ account, tablet, digest, offset, total, bytes, isStopped = false }) {
    const refusal = this.refusal(account, tablet);
    if (refusal) return refusal;
    if (bytes.length > LARGEST_PART_BYTES) return tooMuch('A part holds at most 8 MB.');
    const whole = this.blobs.get(digest);
    if (whole) return { status: 200, body: this.dressed({ digest, held: whole.bytes.length, complete: true }) };
    const held = this.parts.get(digest) ?? new Uint8Array(0);
    if (held.length === total) return { status: 200, body: this.dressed(this.kept(digest, held)) };
    if (offset !== held.length) return { status: 409, body: { message: `${held.length} bytes are held; go on from there.`, field: 'offset', held: held.length } };
    if (offset + bytes.length > total) return { status: 400, body: { message: 'This part goes beyond the whole.', field: 'total' } };
    const longer = new Uint8Array(held.length + bytes.length);
    longer.set(held);
    longer.set(bytes, held.length);
    this.parts.set(digest, longer);
    if (longer.length < total || isStopped) return { status: 200, body: this.dressed({ digest: '', held: longer.length, complete: false }) };
    return { status: 200, body: this.dressed(this.kept(digest, longer)) };
  }

  /** All bytes are there: kept when they are the ones that were named, thrown away otherwise. @param {string} digest @param {Uint8Array} bytes */
  kept(digest, bytes) {
    this.parts.delete(digest);
    const found = createHash('sha256').update(bytes).digest('hex');
    if (found !== digest) return { digest: found, held: 0, complete: false };
    this.blobs.set(digest, { bytes, at_ms: this.now_ms() });
    return { digest, held: bytes.length, complete: true };
  }

  /** @param {string | null} account @returns {Answer} */
  session(account) {
    return this.said({ signed_in: account !== null, account: account === null ? null : { username: account, name: account } });
  }

  /** An answer with what every answer says. @param {any} body @returns {Answer} */
  said(body) {
    const server_time = this.clockFixed ? null : new Date(this.now_ms()).toISOString();
    return { status: 200, body: this.dressed({ contract: 1, epoch: this.epoch, server_time, ...body }) };
  }

  /** @param {any} sent @param {string} status @param {number | null} seq @param {string} digest */
  receipt(sent, status, seq, digest, message = '') {
    return this.dressed({ id: sent.id ?? null, device_seq: sent.device_seq ?? null, status, seq, digest, message });
  }
}

/** Who may record on the invented wall. */
export const ALLOWED = ['ines', 'tomas'];

/** The same thing sent again by a tablet. @param {{device: string, digest: string, claimed: string, device_seq: number | null}} aside */
function keyOf({ device, digest, claimed, device_seq }) {
  return `${device} ${digest} ${claimed} ${device_seq}`;
}

/** @param {any} sent */
function statementOf(sent) {
  return Object.fromEntries(STATEMENT_KEYS.filter((key) => sent[key] !== undefined).map((key) => [key, sent[key]]));
}

/**
 * RFC 8785 for what JSON.parse gives: keys in the order of their UTF-16 units, numbers as ECMAScript writes them.
 * @param {any} value @returns {string}
 */
export function canonical(value) {
  if (Array.isArray(value)) return `[${value.map(canonical).join(',')}]`;
  if (value === null || typeof value !== 'object') return JSON.stringify(value);
  return `{${Object.keys(value).sort().map((key) => `${JSON.stringify(key)}:${canonical(value[key])}`).join(',')}}`;
}

/** @param {any} statement */
export function digestOf(statement) {
  return createHash('sha256').update(canonical(statement)).digest('hex');
}

/** @param {string} text */
function parsed(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

/** @param {any} body */
function envelopeFault(body) {
  if (body === null || typeof body !== 'object') return { message: 'This is not JSON.', field: null };
  if (body.contract !== 1) return { message: `contract is ${body.contract}; this server speaks 1.`, field: 'contract' };
  if (!Array.isArray(body.entries)) return { message: 'entries must be a list.', field: 'entries' };
  if (body.entries.some((/** @type {any} */ sent) => sent === null || typeof sent !== 'object')) return { message: 'entries must be objects.', field: 'entries' };
  return null;
}

/** @param {string} message @returns {Answer} */
function tooMuch(message) {
  return { status: 413, body: { message, field: 'entries' } };
}
