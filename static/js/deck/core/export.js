/**
 * What is in the file "my work"? Every own entry, the photographs that the server does not hold, and the drafts, as the
 * desk takes them in. Where the disk refuses, what this page has in memory.
 */
import { statementIn } from './canonical.js';
import { readPhotograph, unsentPhotographs } from './photographs.js';

/** @typedef {import('./disk.js').Disk} Disk */
/** @typedef {import('./rows.js').EntryRow} EntryRow */
/** @typedef {import('./log.js').TabletLog} TabletLog */

export const WORK_FORMAT = 'pontata-work';
export const WORK_VERSION = 1;
const BASE64_CHUNK_BYTES = 0x6000; // a multiple of three, and few enough to be arguments of one call

/**
 * @param {object} options
 * @param {Disk} options.disk
 * @param {TabletLog['memory']} options.memory
 * @param {import('./rows.js').Enrolment | null} options.enrolment
 * @param {string} options.made_at
 */
export async function exportOf({ disk, memory, enrolment, made_at }) {
  const entries = await entriesOn(disk).catch(() => [...memory.own.values()]);
  const known = new Set(entries.map(({ id }) => id));
  const unwritten = [...memory.unwritten.values()].map(({ row }) => row).filter(({ id }) => !known.has(id));
  return {
    format: WORK_FORMAT,
    version: WORK_VERSION,
    device: enrolment?.device ?? null,
    wall: enrolment?.wall ?? null,
    survey: enrolment?.survey ?? null,
    epoch: enrolment?.epoch ?? null,
    made_at,
    entries: [...inOrder(entries), ...unwritten].map((row) => ({ ...statementIn(row), device_seq: row.device_seq, digest: row.digest })),
    photographs: await photographsOf(disk, memory),
    drafts: await draftsOn(disk).catch(() => []),
  };
}

/** @param {Disk} disk @returns {Promise<EntryRow[]>} */
async function entriesOn(disk) {
  const rows = await disk.run(['entries'], 'readonly', (tx) => tx.all('entries'));
  return rows.filter(({ own }) => own);
}

/** @param {EntryRow[]} rows */
function inOrder(rows) {
  return rows.sort((one, other) => Number(one.device_seq) - Number(other.device_seq));
}

/** One after the other, so that no more than one lies in memory twice. @param {Disk} disk @param {TabletLog['memory']} memory */
async function photographsOf(disk, memory) {
  const found = [];
  const unsent = await disk.run(['blobs'], 'readonly', unsentPhotographs).catch(() => []);
  for (const { digest } of unsent) {
    const kept = await disk.run(['blobs', 'bytes'], 'readonly', (tx) => readPhotograph(tx, digest)).catch(() => null);
    if (kept) found.push({ digest, mime: kept.mime, base64: base64Of(kept.bytes) });
  }
  const known = new Set(found.map(({ digest }) => digest));
  for (const [digest, { bytes, mime }] of memory.photographs) if (!known.has(digest)) found.push({ digest, mime, base64: base64Of(bytes) });
  return found;
}

/** @param {Disk} disk */
function draftsOn(disk) {
  return disk.run(['drafts', 'steps'], 'readonly', async (tx) => {
    const drafts = await tx.all('drafts');
    const steps = await tx.all('steps');
    return drafts.map((draft) => ({ ...draft, steps: steps.filter((step) => step.draft === draft.id) }));
  });
}

/** @param {ArrayBuffer} buffer */
export function base64Of(buffer) {
  const bytes = new Uint8Array(buffer);
  const parts = [];
  for (let start = 0; start < bytes.length; start += BASE64_CHUNK_BYTES) {
    parts.push(btoa(String.fromCharCode(...bytes.subarray(start, start + BASE64_CHUNK_BYTES))));
  }
  return parts.join('');
}
