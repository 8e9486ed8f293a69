/**
 * Is what the camera handed over a photograph, and what is said of it? Bytes are judged by their first ones, never changed.
 */

/** Size of a tablet's photograph. Common practice, no source. */
export const USUAL_BYTES = 4_000_000;

const SIGNATURES = [
  { mime: 'image/jpeg', starts: [0xFF, 0xD8, 0xFF] },
  { mime: 'image/png', starts: [0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A] },
  { mime: 'image/tiff', starts: [0x49, 0x49, 0x2A, 0x00] },
  { mime: 'image/tiff', starts: [0x4D, 0x4D, 0x00, 0x2A] },
];
const BRANDS = { heic: 'image/heic', heix: 'image/heic', heif: 'image/heif', mif1: 'image/heif', msf1: 'image/heif', avif: 'image/avif' };

/** The kind of picture that the bytes begin as, or null. @param {ArrayBuffer} bytes @returns {string | null} */
export function pictureKind(bytes) {
  const head = new Uint8Array(bytes.slice(0, 16));
  const known = SIGNATURES.find(({ starts }) => starts.every((byte, index) => head[index] === byte));
  if (known) return known.mime;
  const letters = String.fromCharCode(...head);
  if (letters.startsWith('RIFF') && letters.slice(8, 12) === 'WEBP') return 'image/webp';
  return letters.slice(4, 8) === 'ftyp' ? BRANDS[/** @type {keyof typeof BRANDS} */ (letters.slice(8, 12))] ?? null : null;
}

/** Why a file is not kept, in words with what to do. @param {{name: string, size_bytes: number, kind: string | null}} file */
export function refusal({ name, size_bytes, kind }) {
  const what = name ? `"${name}"` : 'The file';
  if (!size_bytes) return `${what} is empty. Take the photograph again.`;
  if (!kind) return `${what} is no photograph. Take one with the camera, or choose a picture file; nothing was kept.`;
  if (['image/heic', 'image/heif', 'image/tiff', 'image/avif'].includes(kind)) return `${what} is a ${kind.slice(6).toUpperCase()} file, which this browser cannot open. Set the camera to JPEG and take it again; nothing was kept.`;
  return `${what} begins as a photograph but cannot be read to its end. Take it again; nothing was kept.`;
}

/**
 * The body of a photograph's entry.
 * @param {object} stated
 * @param {string} stated.digest
 * @param {number} stated.size_bytes
 * @param {string} stated.mime
 * @param {number} stated.width_px
 * @param {number} stated.height_px
 * @param {string} stated.cell
 * @param {string} stated.mode
 * @param {string} [stated.lamp_side]
 * @param {string} stated.taken_at ISO
 * @param {string} stated.operator
 * @param {string} [stated.note]
 */
export function photographBody({ cell, lamp_side = '', note = '', ...stated }) {
  const about = [cell ? `Cell ${cell}.` : '', note.trim()].filter(Boolean).join(' ');
  return { ...stated, name: nameOf({ cell, taken_at: stated.taken_at }), role: 'note', ...(lamp_side ? { lamp_side } : {}), ...(about ? { note: about } : {}) };
}

/** A name that sorts by time and says where. @param {{cell: string, taken_at: string}} options */
function nameOf({ cell, taken_at }) {
  return `note ${cell ? `${cell} ` : ''}${taken_at.slice(0, 10)} ${taken_at.slice(11, 19).replaceAll(':', '-')}`;
}

/**
 * How many more photographs there is room for, in words.
 * @param {{room_bytes: number | null, sizes_bytes: number[]}} options sizes of those kept so far
 */
export function roomText({ room_bytes, sizes_bytes }) {
  if (room_bytes === null) return 'This browser does not say how much room is left for photographs.';
  // A few small ones say little of the next; never count on less than the usual size.
  const mean = sizes_bytes.reduce((sum, size) => sum + size, 0) / Math.max(1, sizes_bytes.length);
  const count = Math.floor(room_bytes / Math.max(mean, USUAL_BYTES));
  if (count < 1) return 'No room for another photograph: what is left is kept free for outlines. Sync this tablet, or take photographs with the record camera and its slate.';
  return `Room for about ${(count > 100 ? Math.floor(count / 100) * 100 : count).toLocaleString('en-US')} ${count === 1 ? 'photograph' : 'photographs'}; the room for outlines is kept free besides.`;
}
