/**
 * What do tablet and server say to each other in one round? Entries up, the record down, photographs up; each answer is
 * judged before the disk is touched. When to speak is asked in sync.js.
 */
import { madeAt, statementIn } from './canonical.js';
import { unsentPhotographs } from './photographs.js';
import { acknowledge, endRefill, nextBatch, photographHeld, storePage } from './received.js';
import { readSync } from './rows.js';

/** @typedef {import('./log.js').TabletLog} TabletLog */
/** @typedef {import('./wire.js').Wire} Wire */
/** @typedef {import('./wire.js').Answer} Answer */
/** @typedef {import('./received.js').Contact} Contact */
/** @typedef {import('./rows.js').PhotographRow} PhotographRow */
/** @typedef {'waiting' | 'sign-in' | 'no-part' | 'retired'} Hindrance */

export const CONTRACT = 1;
export const MOST_ENTRIES = 200;
const MOST_BATCH_BYTES = 950_000;
/** What a number, a digest and their keys add to a statement. */
const ENVELOPE_BYTES = 160;
const LEAST_PART_BYTES = 256 * 1024;

/** The server was reached and did not take it now. */
export class Hindered extends Error {
  /** @param {Hindrance} phase @param {string} message */
  constructor(phase, message) {
    super(message);
    this.phase = phase;
  }
}

/** The server is another one than the tablet knew. */
export class EpochChanged extends Error {
  /** @param {string} epoch */
  constructor(epoch) {
    super(`The server's epoch is now ${epoch}.`);
    this.epoch = epoch;
  }
}

export class Exchange {
  /**
   * @param {object} options
   * @param {TabletLog} options.log
   * @param {Wire} options.wire
   * @param {import('./platform.js').Platform} options.platform
   * @param {number} options.part_bytes
   * @param {(contact: Contact & {survey_state: string | null, retired: boolean}) => void} options.onContact
   */
  constructor({ log, wire, platform, part_bytes, onContact }) {
    this.log = log;
    this.wire = wire;
    this.platform = platform;
    this.part_bytes = part_bytes;
    this.onContact = onContact;
  }

  /**
   * Send what waits, batch by batch; at least one contact is made.
   * @returns {Promise<string>} why something was not taken, or the empty text
   */
  async push() {
    /** @type {Set<string>} not taken in this round: tried again in the next */
    const skip = new Set();
    let [most, why] = [MOST_ENTRIES, ''];
    for (let isLast = false; !isLast;) {
      const batch = await nextBatch(this.log.disk, { most, most_bytes: MOST_BATCH_BYTES, envelope_bytes: ENVELOPE_BYTES, skip });
      const { rows } = batch;
      const answer = await this.wire.push(this.pushBody(batch));
      if (rows.length && (answer.status === 413 || answer.status === 400)) {
        why = answer.body?.message ?? `The server answered ${answer.status}.`;
        if (rows.length === 1) skip.add(rows[0].id);
        else most = Math.ceil(rows.length / 2);
        continue;
      }
      // Refused without a reason of the contract: the page's token is stale, and asking who is signed in brings a fresh one.
      if (answer.status === 403 && answer.body?.reason !== 'no-part') await this.wire.session();
      isLast = batch.isLast;
      const taken = await this.take(answer);
      for (const { id } of rows) if (!taken.has(id)) skip.add(id);
      if (skip.size) why ||= `${skip.size} of the entries sent came back without their receipt.`;
    }
    return why;
  }

  /** Fetch what others have said, page by page, up to the head. */
  async pull() {
    let { cursor, epoch, isPartial } = await this.sync();
    for (;;) {
      const answer = await this.wire.pull(cursor);
      const contact = this.contactOf(answer);
      const { entries, head } = answer.body;
      if (!isPage(entries, cursor)) throw notTheServer();
      if (!entries.length && contact.epoch === epoch) break;
      const change = await storePage(this.log.disk, entries, contact);
      if (!change) throw new EpochChanged(contact.epoch);
      this.log.changed(change);
      cursor = change.tally.sync.cursor;
      if (!entries.length || !(head > cursor)) break;
    }
    const refilled = isPartial && await endRefill(this.log.disk, String(epoch));
    if (refilled) this.log.changed({ ...refilled, everything: true });
  }

  /** Send the photographs that the server does not hold. @returns {Promise<string>} why one was not taken, or the empty text */
  async photographs() {
    const waiting = await this.log.disk.run(['blobs'], 'readonly', unsentPhotographs);
    let why = '';
    for (const row of waiting) {
      why = (await this.sendPhotograph(row)) || why;
    }
    return why;
  }

  /** @private @param {import('./received.js').Change} batch */
  pushBody({ rows, tally }) {
    const entries = rows.map((row) => ({ ...statementIn(row), device_seq: row.device_seq, digest: row.digest }));
    return { contract: CONTRACT, epoch: tally.sync.epoch, sent_at: madeAt(this.platform.now_ms()), unsent: tally.entries, photographs_unsent: tally.photographs, entries };
  }

  /** @private @param {Answer} answer @returns {Promise<Set<string>>} ids that have their receipt */
  async take(answer) {
    const contact = this.contactOf(answer);
    const { receipts } = answer.body;
    if (!Array.isArray(receipts)) throw notTheServer();
    const change = await acknowledge(this.log.disk, receipts, contact);
    if (!change) throw new EpochChanged(contact.epoch);
    this.log.changed(change);
    return new Set(change.rows.map(({ id }) => id));
  }

  /** @private @param {PhotographRow} row @returns {Promise<string>} why it was not taken, or the empty text */
  async sendPhotograph({ digest, mime, size }) {
    const kept = await this.log.photograph(digest);
    if (!kept) return `Photograph ${digest.slice(0, 12)}… has no bytes on this tablet.`;
    const bytes = new Uint8Array(kept.bytes);
    const { epoch, server_ms } = await this.sync();
    let { held, complete } = this.blobAnswer(await this.wire.blobState(digest), digest);
    // A part is taken, or the server says from where to go on; more turns than this mean that it takes none.
    const mostTurns = 2 * Math.ceil(size / this.part_bytes) + 4;
    for (let turn = 0; !complete; turn += 1) {
      if (turn >= mostTurns) return `Photograph ${digest.slice(0, 12)}… arrives otherwise than it was sent; it is sent again later.`;
      // All bytes there and not complete: the server was stopped before it could keep them. The last byte again makes it.
      const offset = Math.min(held, bytes.length - 1);
      const part = bytes.subarray(offset, offset + this.part_bytes);
      ({ held, complete } = this.blobAnswer(await this.sendPart({ digest, offset, total: bytes.length, bytes: part, mime }), digest));
    }
    const change = await photographHeld(this.log.disk, digest, { epoch: String(epoch), at_ms: this.platform.now_ms(), server_ms });
    this.log.changed(change);
    return '';
  }

  /** A part that was too much for eight seconds is made smaller. @private @param {Parameters<Wire['blobPart']>[0]} part */
  async sendPart(part) {
    try {
      return await this.wire.blobPart(part);
    } catch (error) {
      if (this.part_bytes > LEAST_PART_BYTES) this.part_bytes = Math.max(LEAST_PART_BYTES, Math.ceil(this.part_bytes / 2));
      throw error;
    }
  }

  /**
   * Complete only when the server names our digest: it has recomputed it then.
   * @private @param {Answer} answer @param {string} digest @returns {{held: number, complete: boolean}}
   */
  blobAnswer({ status, body }, digest) {
    if (status === 409 && Number.isInteger(body?.held)) return { held: body.held, complete: false };
    if (status !== 200) throw hindrance({ status, body });
    if (!Number.isInteger(body?.held)) throw notTheServer();
    return { held: body.held, complete: body.complete === true && body.digest === digest };
  }

  /** @private @returns {Promise<import('./rows.js').SyncRow>} */
  sync() {
    return this.log.disk.run(['meta'], 'readonly', readSync);
  }

  /** The answer is the server's; whether of the epoch that we know is seen where it is written down. @private @param {Answer} answer @returns {Contact} */
  contactOf({ status, body }) {
    if (status !== 200) throw hindrance({ status, body });
    if (body?.contract > CONTRACT) throw new Hindered('waiting', 'The server is newer than this page. Close the page and open it again where there is network; nothing is lost.');
    if (body?.contract !== CONTRACT || typeof body.epoch !== 'string' || !body.epoch) throw notTheServer();
    const server_ms = typeof body.server_time === 'string' ? Date.parse(body.server_time) : NaN;
    const contact = { epoch: body.epoch, at_ms: this.platform.now_ms(), server_ms: Number.isNaN(server_ms) ? null : server_ms };
    this.onContact({ ...contact, survey_state: body.survey_state ?? null, retired: body.retired === true });
    return contact;
  }
}

/** Places in rising order behind the cursor. @param {any} entries @param {number} cursor */
function isPage(entries, cursor) {
  if (!Array.isArray(entries)) return false;
  let last = cursor;
  for (const entry of entries) {
    if (typeof entry?.id !== 'string' || typeof entry.digest !== 'string' || !Number.isInteger(entry.seq) || entry.seq <= last) return false;
    last = entry.seq;
  }
  return true;
}

function notTheServer() {
  return new Hindered('waiting', 'Something answered that is not the survey’s server, for instance the sign-in page of a network.');
}

/** @param {Answer} answer @returns {Hindered} */
function hindrance({ status, body }) {
  const message = typeof body?.message === 'string' ? body.message : '';
  if (status === 401) return new Hindered('sign-in', message || 'The sign-in has run out. Sign in again; nothing is lost.');
  if (status === 403 && body?.reason === 'no-part') return new Hindered('no-part', message || 'This account may not record on this wall. Nothing is lost.');
  return new Hindered('waiting', message || `The server answered ${status}.`);
}
