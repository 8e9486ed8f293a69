/**
 * In which words does the page speak of modes, conditions, findings and sizes? One place, so that a word never differs.
 */
import { formatArea, formatFeetInches } from '../shared/lengths.js';

/** @type {Record<string, string>} */
export const MODE_NAMES = {
  normal: 'normal light', raking: 'raking light', uv: 'ultraviolet', infrared: 'near infrared', percussion: 'fingertip taps', loupe: 'hand lens, 10×', microscope: 'digital microscope', reading: 'reading',
};

export const CONDITIONS = [{ value: 0, text: '0 no sign' }, { value: 1, text: '1 slight' }, { value: 2, text: '2 marked' }, { value: 3, text: '3 severe' }];
export const URGENCIES = [{ value: 0, text: '0 no action' }, { value: 1, text: '1 before phase end' }, { value: 2, text: '2 within 7 days' }, { value: 3, text: '3 now' }];
export const CONFIDENCES = ['certain', 'probable', 'possible'].map((value) => ({ value, text: value }));
export const EDGES = ['fresh', 'dirty', 'unclear'].map((value) => ({ value, text: value }));
export const ACTIVITIES = [{ value: 'suspected', text: 'suspected' }, { value: 'shown', text: 'shown' }];

/** @type {Record<string, string>} */
export const BASIS_NAMES = {
  drawn: 'drawn', 'edited-copy': 'edited from the last survey', 'seen-no-change': 'seen, no change visible', imported: 'from a file',
};

/** @type {Record<string, string>} */
export const LAYER_NAMES = { support: 'Support', plaster: 'Plaster', paint: 'Paint', surface: 'Surface', any: 'Any layer' };

/** @type {Record<string, string>} */
export const GEOMETRY_NAMES = { area: 'area', line: 'line', point: 'point' };

const COUNTS = ['none', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine', 'ten', 'eleven', 'twelve'];

/** @param {number} count */
export function countWord(count) {
  return COUNTS[count] ?? String(count);
}

/** @param {string} mode */
export function modeName(mode) {
  return MODE_NAMES[mode] ?? mode;
}

/** "normal light" at the start of a sentence. @param {string} text */
export function capital(text) {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** How one speaks of a mode in a sentence: in normal light, by fingertip taps. @param {string} mode */
export function inMode(mode) {
  if (mode === 'percussion') return 'by fingertip taps';
  if (mode === 'reading') return 'by reading';
  if (mode === 'loupe') return 'by hand lens at 10×';
  if (mode === 'microscope') return 'by digital microscope';
  return `in ${modeName(mode)}`;
}

/**
 * The size of an outline in feet and inches.
 * @param {{area_sq_in?: number | null, perimeter_in?: number | null, length_in?: number | null, geometry?: {type: string, coordinates: any}}} outline
 */
export function sizeText(outline) {
  if (typeof outline.area_sq_in === 'number' && outline.area_sq_in > 0) return formatArea(outline.area_sq_in);
  if (typeof outline.length_in === 'number' && outline.length_in > 0) return formatFeetInches(outline.length_in);
  const count = outline.geometry?.type === 'MultiPoint' ? outline.geometry.coordinates.length : 1;
  return count === 1 ? '1 point' : `${count} points`;
}

/**
 * How surely an outline's border lies where it is drawn; empty where nobody said.
 * @param {{boundary_error_in?: number | null, picture_error_in?: number | null}} outline
 */
export function errorText({ boundary_error_in: boundary, picture_error_in: picture }) {
  const inches = (/** @type {number} */ error_in) => `${error_in.toFixed(error_in < 0.02 ? 3 : 2)} in`;
  if (typeof picture !== 'number') return typeof boundary === 'number' ? `boundary ${inches(boundary)}` : '';
  return `${typeof boundary === 'number' ? `boundary ${inches(boundary)}` : 'boundary not stated'}, picture ${inches(picture)}`;
}

/** A number by which sizes of one kind sort. @param {{area_sq_in?: number | null, length_in?: number | null}} outline */
export function sizeNumber(outline) {
  return outline.area_sq_in ?? outline.length_in ?? 0;
}

/** What "cell done" asserts. @param {string[]} names terms looked for @param {string} mode @param {boolean} anyDrawn */
export function doneSentence(names, mode, anyDrawn) {
  if (!names.length) return `Nothing on this survey's search list belongs ${inMode(mode)}; the cell counts as looked at only.`;
  const looked = names.length === 1 ? `Looked for this one ${inMode(mode)}: ${names[0]}` : `Looked for these ${countWord(names.length)} ${inMode(mode)}: ${names.join(', ')}`;
  return `${looked}; none seen${anyDrawn ? ' except those drawn' : ''}.`;
}

/** An ISO date as people read it. @param {string | undefined | null} date */
export function dateText(date) {
  if (!date) return '';
  const [year, month, day] = date.slice(0, 10).split('-').map(Number);
  const months = ['January', 'February', 'March', 'April', 'May', 'June', 'July', 'August', 'September', 'October', 'November', 'December'];
  return `${day} ${months[month - 1]} ${year}`;
}
