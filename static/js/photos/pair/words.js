/**
 * In which words does the page speak of hints, of quality and of days? It knows no page.
 */
import { formatArea, formatFeetInches } from '../../shared/lengths.js';

/**
 * @typedef {object} Answer
 * @property {'accepted' | 'dismissed'} answer
 * @property {string} reason
 * @property {string} by
 * @property {boolean} conflict
 * @property {{item: string, term: string, standing: string, url: string, item_url: string} | null} outline
 *
 * @typedef {object} Hint
 * @property {number} number
 * @property {string} key
 * @property {[number, number][]} ring [wall in]
 * @property {number} area_sq_in
 * @property {number} longest_in
 * @property {number} strength 0 to 1
 * @property {number} mean_delta_e
 * @property {boolean} below_error
 * @property {Answer | null} answer
 *
 * @typedef {object} Side
 * @property {string} survey
 * @property {string} name
 * @property {string} taken_on
 * @property {boolean} taken_on_certain
 * @property {string} light
 * @property {string} operator
 * @property {number} error_in
 * @property {number} px_per_in
 * @property {string} page
 * @property {string} url
 */

const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];
// Bounds of the words, our own convention: a strength of 1 is bare plaster beside dark paint.
const STRONG = 0.6;
const MIDDLING = 0.3;

/** @param {number} strength */
export function strengthWord(strength) {
  if (strength >= STRONG) return 'strong';
  return strength >= MIDDLING ? 'middling' : 'faint';
}

/** @param {Hint} hint */
export function hintSize({ longest_in, area_sq_in }) {
  return `${formatFeetInches(longest_in)} at the longest, ${formatArea(area_sq_in)}`;
}

/** How a hint was answered. @param {Hint} hint */
export function answerWords({ answer }) {
  if (!answer) return 'not answered';
  if (answer.conflict) return 'two answers contradict each other';
  if (answer.answer === 'dismissed') return 'dismissed';
  return answer.outline ? `accepted as ${answer.outline.item}` : 'accepted';
}

/** Which hints the list shows. @param {Hint[]} hints @param {boolean} withSmaller those smaller than the error of the laying */
export function shownHints(hints, withSmaller) {
  return hints.filter((hint) => withSmaller || !hint.below_error || hint.answer);
}

/** How many hints wait for an answer, or stand without one. @param {Hint[]} hints @param {boolean} canAnswer */
export function leftWords(hints, canAnswer) {
  const left = hints.filter((hint) => !hint.answer && !hint.below_error).length;
  if (!hints.length) return 'No hint was found.';
  if (!left) return 'No hint is left to answer.';
  if (!canAnswer) return left === 1 ? 'One hint is not answered.' : `${left} hints are not answered.`;
  return left === 1 ? 'One hint is left to answer.' : `${left} hints are left to answer.`;
}

/** "4 Mar 2026" for 2026-03-04. @param {string} iso */
export function dayText(iso) {
  const [year, month, day] = iso.split('-').map(Number);
  return `${day} ${MONTHS[month - 1]} ${year}`;
}

/** An error in inches with as many digits as it needs: 0.0012, 0.03. @param {number} error_in */
export function errorText(error_in) {
  return `± ${error_in < 0.01 ? error_in.toFixed(4) : error_in.toFixed(2)} in`;
}

/** @param {Side} side */
export function sideWords({ survey, taken_on, taken_on_certain, light }) {
  return `${survey}, ${dayText(taken_on)}${taken_on_certain ? '' : ' (day of the survey)'}, ${light.charAt(0).toLowerCase()}${light.slice(1)}`;
}
