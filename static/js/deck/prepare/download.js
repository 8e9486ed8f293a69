/**
 * Has the pack come whole: the right kind, the digest that it names, pictures that end where they should? What is damaged is
 * refused before anything on the tablet is touched.
 */
import { canonicalText } from '../core/canonical.js';
import { Refused } from '../status/api.js';

const CONTRACT = 1;
const AGAIN = 'It was refused and the pack before it is still on this tablet. Fetch it again; when it stays so, tell who runs the server.';

/**
 * @param {ArrayBuffer} bytes
 * @param {(text: string) => Promise<string>} digestHex
 * @returns {Promise<any>} the pack
 */
export async function readPackBytes(bytes, digestHex) {
  let pack;
  try {
    pack = JSON.parse(new TextDecoder('utf-8', { fatal: true }).decode(bytes));
  } catch {
    throw new Refused(`The pack came cut off or damaged. ${AGAIN}`, 0);
  }
  if (pack?.contract !== CONTRACT) throw new Refused(`The server speaks version ${pack?.contract} of the tablets' contract; this page speaks version ${CONTRACT}. Open this page again while there is network, then fetch the pack again.`, 0);
  const { pack: claimed, ...content } = pack;
  if (await digestHex(canonicalText(content)) !== claimed) throw new Refused(`The pack differs from the digest that it names: it was damaged on the way. ${AGAIN}`, 0);
  return pack;
}

/** A JPEG begins and ends with its own marks (ISO/IEC 10918-1, annex B: SOI and EOI). @param {ArrayBuffer} bytes @param {string} name */
export function checkPicture(bytes, name) {
  const view = new Uint8Array(bytes);
  const begins = view[0] === 0xff && view[1] === 0xd8;
  const ends = view[view.length - 2] === 0xff && view[view.length - 1] === 0xd9;
  if (!begins || !ends) throw new Refused(`The picture ${name} came cut off or damaged. ${AGAIN}`, 0);
}

/**
 * The resolutions to choose from: one width for all pictures, what each gives, what all of them take.
 * @param {{digest: string, mode: string, sizes: {width_px: number, bytes_estimate: number, px_per_in: number}[]}[]} pictures
 * @returns {{width_px: number, bytes: number, px_per_in: number}[]} coarse first
 */
export function resolutionsOf(pictures) {
  const widths = [...new Set(pictures.flatMap(({ sizes }) => sizes.map(({ width_px }) => width_px)))].sort((one, other) => one - other);
  return widths.map((width_px) => {
    const sizes = pictures.map((picture) => sizeFor(picture, width_px));
    return { width_px, bytes: sizes.reduce((sum, size) => sum + size.bytes_estimate, 0), px_per_in: Math.min(...sizes.map((size) => size.px_per_in)) };
  });
}

/**
 * The picture's own size nearest below the wished width, or its smallest.
 * @template {{width_px: number}} S
 * @param {{sizes: S[]}} picture
 * @param {number} width_px
 * @returns {S}
 */
export function sizeFor({ sizes }, width_px) {
  const rising = [...sizes].sort((one, other) => one.width_px - other.width_px);
  return rising.filter((size) => size.width_px <= width_px).pop() ?? rising[0];
}
