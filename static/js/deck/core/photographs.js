/**
 * How is a photograph kept on the tablet? Byte for byte, under the digest of its bytes, and only while room for outlines
 * remains.
 */

/** @typedef {import('./disk.js').Disk} Disk */
/** @typedef {import('./disk.js').Tx} Tx */
/** @typedef {import('./rows.js').PhotographRow} PhotographRow */

const MB = 1_000_000;
/** What is kept free for outlines: 5 % of what the browser allows, at least 50 MB and at most 500 MB. */
export const LEAST_RESERVE_BYTES = 50 * MB;
export const MOST_RESERVE_BYTES = 500 * MB;
const RESERVE_SHARE = 0.05;

/** A photograph that would take the room that outlines need, or that holds nothing. */
export class PhotographRefused extends Error {
  /** @param {string} message */
  constructor(message) {
    super(message);
    this.name = 'PhotographRefused';
  }
}

/**
 * @param {object} options
 * @param {Disk} options.disk
 * @param {import('./platform.js').Platform} options.platform
 * @param {ArrayBuffer} options.bytes
 * @param {string} options.mime
 * @param {(digest: string) => void} options.whenRefused told when the disk would not take it
 * @returns {Promise<string>} its digest
 */
export async function keepPhotograph({ disk, platform, bytes, mime, whenRefused }) {
  if (!bytes.byteLength) throw new PhotographRefused('The camera gave an empty photograph. Take it again.');
  refuseWithoutRoom(await platform.room?.() ?? null, bytes.byteLength);
  const digest = await platform.digestHex(bytes);
  const row = { digest, mime, size: bytes.byteLength, kept_ms: platform.now_ms(), held: null };
  await disk.run(['blobs', 'bytes'], 'readwrite', async (tx) => {
    if (await tx.get('blobs', digest)) return; // the same bytes again: whether the server holds them stays known
    await tx.put('bytes', { digest, bytes });
    await tx.put('blobs', row);
  }).catch((error) => {
    whenRefused(digest);
    throw error;
  });
  return digest;
}

/** The room that stays free for outlines. @param {number} quota [bytes] @returns {number} [bytes] */
export function reserveOf(quota) {
  return Math.min(Math.max(LEAST_RESERVE_BYTES, RESERVE_SHARE * quota), MOST_RESERVE_BYTES);
}

/** @param {{usage: number, quota: number} | null} room @param {number} size */
function refuseWithoutRoom(room, size) {
  if (!room) return;
  const reserve = reserveOf(room.quota);
  const left = room.quota - room.usage - size;
  if (left >= reserve) return;
  throw new PhotographRefused(
    `NOT kept: this photograph of ${inMb(size)} MB would leave ${inMb(Math.max(0, left))} MB, and ${inMb(reserve)} MB stay free for outlines. `
    + 'Outlines go on as before. Send what this tablet holds or free room on it, then photograph again.',
  );
}

/** @param {number} bytes */
function inMb(bytes) {
  return (bytes / MB).toLocaleString('en-US', { maximumFractionDigits: bytes < 10 * MB ? 1 : 0 });
}

/** @param {Tx} tx @param {string} digest @returns {Promise<{digest: string, mime: string, bytes: ArrayBuffer} | null>} */
export async function readPhotograph(tx, digest) {
  const row = await tx.get('blobs', digest);
  const kept = row && await tx.get('bytes', digest);
  return kept ? { digest, mime: row.mime, bytes: kept.bytes } : null;
}

/** Those that the server has not acknowledged, the oldest first. @param {Tx} tx @returns {Promise<PhotographRow[]>} */
export async function unsentPhotographs(tx) {
  const rows = await tx.all('blobs');
  return rows.filter(({ held }) => held === null).sort((one, other) => one.kept_ms - other.kept_ms || (one.digest < other.digest ? -1 : 1));
}
