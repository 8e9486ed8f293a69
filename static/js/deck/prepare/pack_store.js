/**
 * Which pack of the survey lies on this tablet, with which pictures? It is kept whole or not at all.
 */

/** @typedef {import('../core/disk.js').Disk} Disk */
/**
 * @typedef {object} KeptPicture
 * @property {string} digest
 * @property {string} mode
 * @property {string} url of the bytes in this page
 * @property {number[]} bounds_in
 * @property {string} survey
 * @property {string} taken_on
 * @property {number} width_px
 *
 * @typedef {object} KeptPack
 * @property {any} pack as the server gave it
 * @property {KeptPicture[]} pictures
 */

const PACK = 'pack';
const picture = (/** @type {string} */ digest) => `picture:${digest}`;

/** @param {Disk} disk @returns {Promise<KeptPack | null>} */
export async function readPack(disk) {
  return disk.run(['pack'], 'readonly', async (tx) => {
    const row = await tx.get('pack', PACK);
    if (!row) return null;
    const pictures = [];
    for (const chosen of row.pictures) {
      const kept = await tx.get('pack', picture(chosen.digest));
      if (kept) pictures.push({ ...chosen, url: URL.createObjectURL(new Blob([kept.bytes], { type: 'image/jpeg' })) });
    }
    return { pack: row.pack, pictures };
  });
}

/**
 * Put a fresh pack in the place of the old one, in one transaction.
 * @param {Disk} disk
 * @param {any} pack
 * @param {{digest: string, mode: string, bounds_in: number[], survey: string, taken_on: string, id?: string, error_in?: number, width_px: number, bytes: ArrayBuffer}[]} pictures
 */
export async function keepPack(disk, pack, pictures) {
  await disk.run(['pack'], 'readwrite', async (tx) => {
    const before = await tx.get('pack', PACK);
    for (const old of before?.pictures ?? []) await tx.delete('pack', picture(old.digest));
    for (const { bytes, ...chosen } of pictures) await tx.put('pack', { name: picture(chosen.digest), bytes });
    await tx.put('pack', { name: PACK, pack, pictures: pictures.map(({ bytes, ...chosen }) => ({ ...chosen, byte_count: bytes.byteLength })) });
  });
}
