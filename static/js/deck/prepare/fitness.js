/**
 * Can this tablet hold the survey: does its disk take a block and give it back, is there room, will the browser keep it?
 */

import { reserveOf } from '../core/photographs.js';

/** @typedef {import('../core/disk.js').Disk} Disk */
/** @typedef {{name: 'disk' | 'room' | 'keeping', fit: boolean, message: string}} Finding */

/** One outline on this disk: its entry, its place in the queue, its step for undo; a drawn outline of 200 points. */
export const OUTLINE_BYTES = 16 * 1024;
/** One photograph of a tablet's camera, as it comes; 12 Mpx. */
export const PHOTOGRAPH_BYTES = 4 * 1024 * 1024;
/** What a survey may need on one tablet before it is next sent. */
export const OUTLINES_NEEDED = 2000;
export const PHOTOGRAPHS_NEEDED = 50;

const PROBE = 'probe';
const PROBE_BYTES = 1024 * 1024;

/**
 * Write a block, read it back in a transaction of its own, and remove it.
 * @param {Disk} disk
 * @param {(bytes: Uint8Array) => void} fillWithChance
 * @returns {Promise<Finding>}
 */
export async function probeDisk(disk, fillWithChance) {
  const block = new Uint8Array(PROBE_BYTES);
  for (let at = 0; at < PROBE_BYTES; at += 65_536) fillWithChance(block.subarray(at, at + 65_536));
  try {
    await disk.run(['meta'], 'readwrite', (tx) => tx.put('meta', { key: PROBE, block }));
    const row = await disk.run(['meta'], 'readonly', (tx) => tx.get('meta', PROBE));
    await disk.run(['meta'], 'readwrite', (tx) => tx.delete('meta', PROBE));
    const same = row?.block?.length === PROBE_BYTES && block.every((byte, at) => byte === row.block[at]);
    return same
      ? { name: 'disk', fit: true, message: 'The disk took a block of 1 MB and gave the same bytes back.' }
      : { name: 'disk', fit: false, message: 'The disk gave other bytes back than were written. Do not take this tablet up; take another one.' };
  } catch (error) {
    return { name: 'disk', fit: false, message: `The disk refused a block of 1 MB (${error instanceof Error ? error.message : error}). Leave private browsing, free room on the tablet, then try again.` };
  }
}

/**
 * What fits beside a pack of this size.
 * @param {{quota?: number, usage?: number}} estimate bytes, as the browser tells them
 * @param {number} pack_bytes what is still to come
 */
export function roomFor({ quota, usage }, pack_bytes) {
  if (quota === undefined) return { known: false, free_bytes: 0, photographs: 0, outlines: 0 };
  const free_bytes = Math.max(0, quota - (usage ?? 0) - pack_bytes);
  // Photographs stop before the room that is kept for outlines, which is never less than the survey's outlines need.
  const outlines_bytes = Math.max(OUTLINES_NEEDED * OUTLINE_BYTES, reserveOf(quota));
  return { known: true, free_bytes, outlines: Math.floor(outlines_bytes / OUTLINE_BYTES), photographs: Math.max(0, Math.floor((free_bytes - outlines_bytes) / PHOTOGRAPH_BYTES)) };
}

/** @param {ReturnType<typeof roomFor>} room @returns {Finding} */
export function judgeRoom(room) {
  if (!room.known) return { name: 'room', fit: false, message: 'The browser does not say how much room it gives. Use a current browser on this tablet.' };
  const fit = room.photographs >= PHOTOGRAPHS_NEEDED;
  const fits = `${bytesText(room.free_bytes)} stay free: room for about ${countText(room.outlines)} outlines and ${countText(room.photographs)} photographs`;
  if (fit) return { name: 'room', fit, message: `${fits}.` };
  return { name: 'room', fit, message: `${fits}. The survey needs ${OUTLINES_NEEDED.toLocaleString('en-US')} outlines and ${PHOTOGRAPHS_NEEDED} photographs. Choose coarser pictures, or free room on the tablet.` };
}

/**
 * Ask the browser never to clear the store by itself.
 * @param {StorageManager | undefined} storage
 * @returns {Promise<'granted' | 'refused' | 'unknown'>}
 */
export async function askToPersist(storage) {
  if (!storage?.persist) return 'unknown';
  try {
    return (await storage.persisted()) || (await storage.persist()) ? 'granted' : 'refused';
  } catch {
    return 'refused';
  }
}

/** @param {'granted' | 'refused' | 'unknown'} answer @returns {Finding} */
export function judgePersistence(answer) {
  if (answer === 'granted') return { name: 'keeping', fit: true, message: 'The browser promises to keep the store of this page.' };
  const why = answer === 'refused' ? 'The browser does not promise to keep the store of this page; it may clear it when the tablet runs short of room.' : 'The browser cannot say whether it keeps the store of this page.';
  return { name: 'keeping', fit: false, message: `${why} Add this page to the tablet's home screen, open it from there, and prepare again.` };
}

/** Powers of ten, as tablets count their room. @param {number} bytes */
export function bytesText(bytes) {
  if (bytes >= 1e9) return `${(bytes / 1e9).toFixed(bytes >= 1e10 ? 0 : 1)} GB`;
  if (bytes >= 1e6) return `${(bytes / 1e6).toFixed(bytes >= 1e7 ? 0 : 1)} MB`;
  return `${Math.ceil(bytes / 1e3)} kB`;
}

/** "about 1,200": two figures are all that an estimate carries. @param {number} count */
export function countText(count) {
  if (count < 100) return String(count);
  const step = 10 ** (Math.floor(Math.log10(count)) - 1);
  return (Math.floor(count / step) * step).toLocaleString('en-US');
}
