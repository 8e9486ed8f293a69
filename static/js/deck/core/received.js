/**
 * What does the tablet's disk say after the server's answer? Receipts, pulled pages, a new epoch, photographs held: each
 * written in one transaction that looks again at what stands there. An answer of another epoch changes nothing.
 */
import { statementIn } from './canonical.js';
import { readAside, readSync, readTally, writeAside, writeSync } from './rows.js';

/** @typedef {import('./disk.js').Disk} Disk */
/** @typedef {import('./disk.js').Tx} Tx */
/** @typedef {import('./rows.js').EntryRow} EntryRow */
/** @typedef {import('./rows.js').OutboxRow} OutboxRow */
/** @typedef {import('./rows.js').Held} Held */
/**
 * When and of which epoch an answer is.
 * @typedef {{epoch: string, at_ms: number, server_ms: number | null}} Contact
 *
 * What an answer changed, and how the tablet stands after it.
 * @typedef {{rows: EntryRow[], tally: import('./rows.js').Tally}} Change
 */

const STORES = ['meta', 'entries', 'outbox', 'blobs'];

const HELD = new Set(['stored', 'already there', 'stored as conflict']);
const SET_ASIDE = 'set aside';

/**
 * The next entries to send, in the order of their numbers, and how much waits altogether.
 * @param {Disk} disk
 * @param {{most: number, most_bytes: number, envelope_bytes: number, skip: Set<string>}} options
 * @returns {Promise<Change & {isLast: boolean}>} isLast: nothing waits behind them
 */
export function nextBatch(disk, { most, most_bytes, envelope_bytes, skip }) {
  return disk.run(STORES, 'readonly', async (tx) => {
    /** @type {OutboxRow[]} */
    const waiting = (await tx.all('outbox')).filter(({ id }) => !skip.has(id));
    /** @type {EntryRow[]} */
    const rows = [];
    let bytes = 0;
    for (const { id, size } of waiting) {
      bytes += size + envelope_bytes;
      if (rows.length === most || (rows.length && bytes > most_bytes)) break;
      rows.push(await tx.get('entries', id));
    }
    return { rows, isLast: rows.length === waiting.length, tally: await readTally(tx) };
  });
}

/**
 * Take receipts: only where id and digest are ours.
 * @param {Disk} disk
 * @param {any[]} receipts
 * @param {Contact} contact
 * @returns {Promise<Change | null>} the rows that have their receipt; null when the epoch is another
 */
export function acknowledge(disk, receipts, contact) {
  return disk.run(STORES, 'readwrite', async (tx) => {
    const sync = await readSync(tx);
    if (sync.epoch !== contact.epoch) return null;
    const aside = new Set(await readAside(tx));
    const before = aside.size;
    /** @type {EntryRow[]} */
    const taken = [];
    for (const receipt of receipts) {
      const row = typeof receipt?.id === 'string' ? await tx.get('entries', receipt.id) : undefined;
      if (!row?.own || row.digest !== receipt.digest) continue;
      if (HELD.has(receipt.status)) {
        taken.push(await hold(tx, row, { seq: receipt.seq, contact }));
      } else if (receipt.status === SET_ASIDE && !row.held) {
        aside.add(row.id);
        taken.push(await release(tx, { ...row, aside: { message: String(receipt.message ?? ''), epoch: contact.epoch } }));
      }
    }
    if (aside.size !== before) await writeAside(tx, [...aside]);
    await writeSync(tx, { ...sync, ...heard(sync, contact) });
    return { rows: taken, tally: await readTally(tx) };
  });
}

/**
 * Store a pulled page and the place after it.
 * @param {Disk} disk
 * @param {any[]} entries in rising order of seq
 * @param {Contact} contact
 * @returns {Promise<Change | null>} the rows that came or changed; null when the epoch is another
 */
export function storePage(disk, entries, contact) {
  return disk.run(STORES, 'readwrite', async (tx) => {
    const sync = await readSync(tx);
    if (sync.epoch !== contact.epoch) return null;
    /** @type {EntryRow[]} */
    const changed = [];
    for (const entry of entries) {
      const row = await pulled(tx, entry, contact);
      if (row) changed.push(row);
    }
    const back = new Set(changed.filter(({ own }) => own).map(({ id }) => id));
    const aside = await readAside(tx);
    if (aside.some((id) => back.has(id))) await writeAside(tx, aside.filter((id) => !back.has(id)));
    const cursor = Math.max(sync.cursor, ...entries.map(({ seq }) => seq));
    await writeSync(tx, { ...sync, cursor, ...heard(sync, contact) });
    return { rows: changed, tally: await readTally(tx) };
  });
}

/**
 * The server is another one than before, or an older state of it: all own entries wait again, no photograph counts as
 * held, and the pull starts from the beginning.
 * @param {Disk} disk
 * @param {string} epoch
 * @returns {Promise<Change>}
 */
export function beginEpoch(disk, epoch) {
  return disk.run(STORES, 'readwrite', async (tx) => {
    const sync = await readSync(tx);
    if (sync.epoch === epoch) return { rows: [], tally: await readTally(tx) };
    for (const row of await tx.all('entries')) {
      await tx.put('entries', { ...row, seq: null, held: null, aside: null });
      if (row.own) await tx.put('outbox', { device_seq: row.device_seq, id: row.id, size: row.size });
    }
    for (const row of await tx.all('blobs')) if (row.held) await tx.put('blobs', { ...row, held: null });
    await writeAside(tx, []);
    await writeSync(tx, { ...sync, epoch, cursor: 0, server_ms: null, isPartial: true });
    return { rows: [], tally: await readTally(tx) };
  });
}

/**
 * A new epoch is pulled up to its head: what others had said and the server lost stands here no longer. It comes back when
 * the tablet that said it sends it again; own entries stay, they are on their way.
 * @param {Disk} disk
 * @param {string} epoch
 * @returns {Promise<Change | null>} null when the epoch is another
 */
export function endRefill(disk, epoch) {
  return disk.run(STORES, 'readwrite', async (tx) => {
    const sync = await readSync(tx);
    if (sync.epoch !== epoch) return null;
    for (const { id, own, seq } of await tx.all('entries')) if (!own && seq === null) await tx.delete('entries', id);
    await writeSync(tx, { ...sync, isPartial: false });
    return { rows: [], tally: await readTally(tx) };
  });
}

/** The server has recomputed our digest. @param {Disk} disk @param {string} digest @param {Contact} contact @returns {Promise<Change>} */
export function photographHeld(disk, digest, { epoch, at_ms, server_ms }) {
  return disk.run(STORES, 'readwrite', async (tx) => {
    const row = await tx.get('blobs', digest);
    if (row && (await readSync(tx)).epoch === epoch) await tx.put('blobs', { ...row, held: { epoch, at_ms, server_ms } });
    return { rows: [], tally: await readTally(tx) };
  });
}

/** @param {import('./rows.js').SyncRow} sync @param {Contact} contact */
function heard(sync, { server_ms, at_ms }) {
  return { server_ms: server_ms ?? sync.server_ms, contact_ms: at_ms };
}

/** @param {Tx} tx @param {EntryRow} row @param {{seq: any, contact: Contact}} options */
function hold(tx, row, { seq, contact: { epoch, at_ms, server_ms } }) {
  const held = row.held ?? { epoch, at_ms, server_ms };
  return release(tx, { ...row, seq: Number.isInteger(seq) ? seq : row.seq, held, aside: null });
}

/** Out of the outbox; the entry itself stays. @param {Tx} tx @param {EntryRow} row */
async function release(tx, row) {
  await tx.put('entries', row);
  if (row.device_seq !== null) await tx.delete('outbox', row.device_seq);
  return row;
}

/**
 * One pulled entry: an own one that comes back is as good as a receipt, if it is what we said; ours is never written over.
 * @param {Tx} tx @param {any} entry @param {Contact} contact @returns {Promise<EntryRow | null>}
 */
async function pulled(tx, entry, contact) {
  const there = await tx.get('entries', entry.id);
  if (there?.own) return there.digest === entry.digest ? hold(tx, there, { seq: entry.seq, contact }) : null;
  const row = { ...statementIn(entry), digest: entry.digest, own: false, device_seq: null, seq: entry.seq, size: 0, held: null, aside: null };
  await tx.put('entries', row);
  return row;
}
