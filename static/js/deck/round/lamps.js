/**
 * Which lamp settings belong to a light, and what is looked over with the whole bay in view before a cell is judged?
 * Common practice, no source. Pure.
 */

import { DAYLIGHT } from './session_body.js';

/** @typedef {{setting: string, text: string, side: 'left' | 'right' | 'top' | 'below' | 'even'}} LampChoice */

/** @type {LampChoice[]} */
const DIFFUSE = [{ setting: 'diffuse', text: 'Diffuse', side: 'even' }, { setting: DAYLIGHT, text: 'Daylight only', side: 'even' }];
/** @type {LampChoice[]} */
const RAKING = [
  { setting: 'raking from the right', text: 'Raking from the right', side: 'right' }, { setting: 'raking from the left', text: 'Raking from the left', side: 'left' },
  { setting: 'raking from above', text: 'Raking from above', side: 'top' }, { setting: 'raking from below', text: 'Raking from below', side: 'below' },
];
/** @type {LampChoice[]} */
const ULTRAVIOLET = [{ setting: 'ultraviolet', text: 'Ultraviolet, room dark', side: 'even' }];

/** @param {string} mode @returns {LampChoice[]} */
export function lampChoices(mode) {
  if (mode === 'raking') return RAKING;
  return mode === 'uv' ? ULTRAVIOLET : DIFFUSE;
}

/** The side from which the lamp has not come when cells are judged: it is looked over first. @type {Record<string, string>} */
const OTHER_SIDE = { 'raking from the right': 'left', 'raking from the left': 'right', 'raking from above': 'below', 'raking from below': 'above' };

/**
 * What is looked over with the whole bay in view: lamps off first; in raking light then also from the other side.
 * @param {string} mode
 * @param {string} setting
 * @returns {{key: string, text: string}[]}
 */
export function lookOverText(mode, setting) {
  const looks = [{ key: 'off', text: 'Whole bay, lamps off' }];
  if (mode === 'raking') looks.push({ key: 'diffuse', text: 'Diffuse light' }, { key: OTHER_SIDE[setting] ?? 'left', text: `Lamp ${['left', 'right'].includes(OTHER_SIDE[setting]) ? `on the ${OTHER_SIDE[setting]}` : OTHER_SIDE[setting] ?? 'on the left'}` });
  return looks;
}

/**
 * What was looked over before a bay was begun, as the session's note keeps it.
 * @param {{bay: string, mode: string, setting: string, done: string[]}} options done: keys of what was looked over
 */
export function lookedSentence({ bay, mode, setting, done }) {
  const looks = lookOverText(mode, setting);
  const words = (/** @type {typeof looks} */ some) => some.map(({ text }) => text.charAt(0).toLowerCase() + text.slice(1)).join('; ');
  const [did, left] = [looks.filter(({ key }) => done.includes(key)), looks.filter(({ key }) => !done.includes(key))];
  return `Bay ${bay}, ${setting}: ${did.length ? `looked over first (${words(did)})` : 'nothing looked over first'}${did.length && left.length ? `, not (${words(left)})` : ''}.`;
}
