/**
 * Which picture of the wall lies under the outlines, in which version, and how sure are its places? Names pictures, and
 * tells the map and the strip where their tiles lie. It never chooses a newer version by itself.
 */
import { capital, dateText, modeName } from './words.js';

/**
 * A mosaic in tiles or a photograph of the whole wall; the first of a mode is shown until another is chosen.
 * @typedef {object} BasePicture
 * @property {string} mode
 * @property {string} url of the picture; of tiles with {z}, {x} and {y} in it
 * @property {number[]} bounds_in
 * @property {string} survey
 * @property {string} taken_on
 * @property {'tiles' | 'image'} [kind]
 * @property {string} [id] object id of a picture whose error of place is known
 * @property {string} [lamp_side]
 * @property {number} [error_in]
 * @property {number} [version]
 * @property {number} [shown_pct] how much of the wall it shows
 * @property {number} [width_px]
 * @property {number} [height_px]
 * @property {number} [px_per_in]
 * @property {number} [tile_px]
 * @property {number} [levels]
 */
/** @typedef {{url: string, box_in: number[]}} TilePlace */

const STRIP_FEWEST_PX = 1000;

/** What tells a picture from every other. @param {BasePicture} picture */
export function pictureKey({ id, url }) {
  return id ?? url;
}

/** @param {BasePicture} picture */
export function pictureName({ mode, lamp_side, version, survey, taken_on }) {
  const light = `${capital(modeName(mode))}${lamp_side ? `, ${lamp_side}` : ''}`;
  return `${light}, ${survey}${version ? ` mosaic ${version}` : ''}, ${dateText(taken_on)}`;
}

/** What stands on the plate beside the picture. @param {BasePicture | null} picture */
export function pictureSaid(picture) {
  if (!picture) return '';
  const { version, survey, taken_on, error_in, shown_pct } = picture;
  const what = version ? `Mosaic of ${survey}, version ${version}` : `Photograph of ${survey}`;
  const sure = typeof error_in === 'number' ? `, ± ${error_in.toFixed(error_in < 0.02 ? 3 : 2)} in` : ', error not known';
  const part = shown_pct !== undefined && shown_pct < 100 ? `, shows ${shown_pct} % of the wall` : '';
  return `${what}, ${dateText(taken_on)}${sure}${part}`;
}

/**
 * What is to be known about outlines that were drawn over another picture than the one that is shown.
 * @param {BasePicture | null} shown
 * @param {Iterable<{picture?: string | null}>} outlines
 * @param {BasePicture[]} pictures
 */
export function otherPictures(shown, outlines, pictures) {
  /** @type {Map<string, number>} */
  const counts = new Map();
  for (const { picture } of outlines) if (picture && picture !== shown?.id) counts.set(picture, (counts.get(picture) ?? 0) + 1);
  const parts = [...counts].flatMap(([id, count]) => {
    const drawn = pictures.find((picture) => picture.id === id);
    if (!drawn || (shown && drawn.mode !== shown.mode)) return [];
    return [`${count} ${count === 1 ? 'outline was' : 'outlines were'} drawn over ${drawn.survey} mosaic ${drawn.version}`];
  });
  return parts.join('; ');
}

/**
 * The levels of a tiled picture, coarsest first: width and height, and inches to a pixel.
 * @param {BasePicture} picture
 */
export function levelsOf({ width_px = 0, height_px = 0, px_per_in = 1, levels = 1 }) {
  return Array.from({ length: levels }, (_, level) => {
    const times = 2 ** (levels - 1 - level);
    return { width_px: Math.ceil(width_px / times), height_px: Math.ceil(height_px / times), in_per_px: times / px_per_in };
  });
}

/** How the map finds the tiles. Tiles at the right and lower end are smaller than the others. @param {BasePicture} picture */
export function tileGridOptions(picture) {
  const { bounds_in: [x0, , , y1], tile_px = 512 } = picture;
  const levels = levelsOf(picture);
  return {
    origin: [x0, y1],
    resolutions: levels.map(({ in_per_px }) => in_per_px),
    sizes: levels.map(({ width_px, height_px }) => [Math.ceil(width_px / tile_px), Math.ceil(height_px / tile_px)]),
    tileSize: tile_px,
  };
}

/**
 * The few tiles that show the whole picture on the strip, and where each lies on the wall.
 * @param {BasePicture} picture
 * @returns {TilePlace[]}
 */
export function stripTiles(picture) {
  if (picture.kind !== 'tiles') return [];
  const { bounds_in: [x0, , , y1], tile_px = 512, url } = picture;
  const levels = levelsOf(picture);
  const found = levels.findIndex(({ width_px }) => width_px >= STRIP_FEWEST_PX);
  const level = found < 0 ? levels.length - 1 : found;
  const { width_px, height_px, in_per_px } = levels[level];
  const tiles = [];
  for (let row = 0; row * tile_px < height_px; row += 1) {
    for (let column = 0; column * tile_px < width_px; column += 1) {
      const right = Math.min((column + 1) * tile_px, width_px);
      const bottom = Math.min((row + 1) * tile_px, height_px);
      tiles.push({
        url: url.replace('{z}', String(level)).replace('{x}', String(column)).replace('{y}', String(row)),
        box_in: [x0 + column * tile_px * in_per_px, y1 - bottom * in_per_px, x0 + right * in_per_px, y1 - row * tile_px * in_per_px],
      });
    }
  }
  return tiles;
}
