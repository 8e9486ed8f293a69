/**
 * What do the rows on the tablet's disk say? Their shapes, and the few rows of the store "meta" that every transaction of
 * the log reads or writes. It opens no transaction itself.
 */
import { unsentPhotographs } from './photographs.js';

/** @typedef {import('./disk.js').Tx} Tx */
/** @typedef {import('./canonical.js').Statement} Statement */
/**
 * That the server holds it: in which epoch, and when it said so by both clocks.
 * @typedef {{epoch: string, at_ms: number, server_ms: number | null}} Held
 *
 * A statement on the tablet, own or pulled.
 * @typedef {Statement & {
 *   digest: string, own: boolean, device_seq: number | null, seq: number | null, size: number,
 *   held: Held | null, aside: {message: string, epoch: string} | null,
 * }} EntryRow
 *
 * @typedef {{device_seq: number, id: string, size: number}} OutboxRow
 * @typedef {{digest: string, mime: string, size: number, kept_ms: number, held: Held | null}} PhotographRow
 * @typedef {{device: string, wall: string, survey: string, epoch: string, name: string}} Enrolment
 * @typedef {{epoch: string | null, cursor: number, server_ms: number | null, contact_ms: number | null, isPartial: boolean}} SyncRow how far this tablet has pulled in which epoch; the last contact by the server's clock and by this tablet's; whether a new epoch is not yet pulled up to its head
 * @typedef {{first: number, done: number, last: number}} ActsRow numbers of the acts kept; those behind "done" can be done again
 */

/** How many bytes one statement may take, so that it fits into a batch with its envelope. */
export const MOST_ENTRY_BYTES = 900_000;
/** How many acts can be taken back. */
export const MOST_ACTS = 400;

/** @param {Tx} tx @returns {Promise<SyncRow>} */
export async function readSync(tx) {
  return (await tx.get('meta', 'sync')) ?? { epoch: null, cursor: 0, server_ms: null, contact_ms: null, isPartial: false };
}

/** @param {Tx} tx @param {SyncRow} sync */
export async function writeSync(tx, { epoch, cursor, server_ms, contact_ms, isPartial }) {
  await tx.put('meta', { key: 'sync', epoch, cursor, server_ms, contact_ms, isPartial });
}

/** @param {Tx} tx @returns {Promise<string[]>} ids of own entries that the server set aside */
export async function readAside(tx) {
  return (await tx.get('meta', 'aside'))?.ids ?? [];
}

/** @param {Tx} tx @param {string[]} ids */
export async function writeAside(tx, ids) {
  await tx.put('meta', { key: 'aside', ids: [...new Set(ids)].sort() });
}

/** @param {Tx} tx @returns {Promise<Enrolment | null>} */
export async function readEnrolment(tx) {
  const row = await tx.get('meta', 'enrolment');
  if (!row) return null;
  const { device, wall, survey, name } = row;
  return { device, wall, survey, name, epoch: (await readSync(tx)).epoch ?? '' };
}

/**
 * How the tablet stands: what the server does not hold yet, and what it set aside.
 * @typedef {{sync: SyncRow, entries: number, photographs: number, aside: EntryRow[]}} Tally
 *
 * @param {Tx} tx over meta, entries, outbox and blobs
 * @returns {Promise<Tally>}
 */
export async function readTally(tx) {
  const aside = [];
  for (const id of await readAside(tx)) {
    const row = await tx.get('entries', id);
    if (row) aside.push(row);
  }
  return { sync: await readSync(tx), entries: await tx.count('outbox'), photographs: (await unsentPhotographs(tx)).length, aside };
}

/** @param {Tx} tx @returns {Promise<ActsRow>} */
export async function readActs(tx) {
  return (await tx.get('meta', 'acts')) ?? { key: 'acts', first: 1, done: 0, last: 0 };
}

/**
 * Write what becomes of the line of acts: a new one cuts off those taken back; undoing and redoing move along it.
 * @param {Tx} tx
 * @param {{push: any} | {undo: number} | {redo: number}} step
 */
export async function writeAct(tx, step) {
  const acts = await readActs(tx);
  if ('push' in step) {
    for (let n = acts.done + 1; n <= acts.last; n += 1) await tx.delete('acts', n);
    acts.done += 1;
    acts.last = acts.done;
    await tx.put('acts', { n: acts.done, act: step.push });
    for (; acts.last - acts.first >= MOST_ACTS; acts.first += 1) await tx.delete('acts', acts.first);
  } else if ('undo' in step) {
    if (acts.done !== step.undo) throw new Error('This was taken back already, in another tab of this page.');
    acts.done -= 1;
  } else {
    if (acts.done + 1 !== step.redo) throw new Error('This was done again already, in another tab of this page.');
    acts.done += 1;
  }
  await tx.put('meta', { key: 'acts', first: acts.first, done: acts.done, last: acts.last });
}
