/**
 * What may leave the tablet's disk? Only what the server has acknowledged by its digest in this epoch, what the pull and
 * the pack have passed, and only after 14 days. Everything else stays.
 */
import { readSync } from './rows.js';

/** @typedef {import('./disk.js').Disk} Disk */
/** @typedef {import('./disk.js').Tx} Tx */
/** @typedef {import('./rows.js').Held} Held */
/** @typedef {import('./rows.js').EntryRow} EntryRow */
/** @typedef {import('./rows.js').SyncRow} SyncRow */

export const KEPT_FOR_MS = 14 * 86_400_000;

/**
 * @param {Disk} disk
 * @param {number} now_ms
 * @returns {Promise<{entries: string[], photographs: string[]}>} what is gone
 */
export function forgetHeld(disk, now_ms) {
  return disk.run(['meta', 'entries', 'outbox', 'blobs', 'bytes', 'pack'], 'readwrite', async (tx) => {
    const sync = await readSync(tx);
    const pack = (await tx.get('pack', 'pack'))?.pack;
    const packed = pack?.epoch === sync.epoch ? pack?.head ?? 0 : 0;
    const own = (await tx.all('entries')).filter((row) => row.own);
    const old = own.filter((row) => isHeldForLong(row.held, sync, now_ms) && row.seq !== null && row.seq <= sync.cursor && row.seq <= packed);
    for (const { id } of old) await tx.delete('entries', id);
    const stay = new Set(old.map(({ id }) => id));
    const named = new Set(own.filter(({ id }) => !stay.has(id)).flatMap(photographsIn));
    const photographs = (await tx.all('blobs')).filter(({ digest, held }) => isHeldForLong(held, sync, now_ms) && !named.has(digest));
    for (const { digest } of photographs) {
      await tx.delete('bytes', digest);
      await tx.delete('blobs', digest);
    }
    return { entries: old.map(({ id }) => id), photographs: photographs.map(({ digest }) => digest) };
  });
}

/**
 * Both clocks must say so: the device's may have jumped, and the server's is heard only on contact.
 * @param {Held | null} held @param {SyncRow} sync @param {number} now_ms
 */
function isHeldForLong(held, sync, now_ms) {
  if (!held || held.epoch !== sync.epoch || now_ms - held.at_ms < KEPT_FOR_MS) return false;
  return held.server_ms === null || sync.server_ms === null || sync.server_ms - held.server_ms >= KEPT_FOR_MS;
}

/** @param {EntryRow} row @returns {string[]} digests of the photographs that it names */
function photographsIn({ body }) {
  return [body.digest, ...(body.photographs ?? [])].filter((digest) => typeof digest === 'string');
}
