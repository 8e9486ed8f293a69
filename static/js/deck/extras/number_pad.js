/**
 * What has been typed on the large number pad, and which number is it? Pure: text in, text out; the keys are drawn elsewhere.
 */

/** The keys in rows, as they lie on the pad. */
export const PAD_KEYS = [['7', '8', '9'], ['4', '5', '6'], ['1', '2', '3'], ['.', '0', 'back']];
const MOST_DIGITS = 9;

/**
 * The text after one key. A key that would make no number changes nothing.
 * @param {string} text
 * @param {string} key a digit, ".", "sign", "back" or "clear"
 * @returns {string}
 */
export function typed(text, key) {
  if (key === 'clear') return '';
  if (key === 'back') return text.slice(0, -1) === '-' ? '' : text.slice(0, -1);
  if (key === 'sign') return text.startsWith('-') ? text.slice(1) : text && `-${text}`;
  if (key === '.') return text.includes('.') ? text : `${text === '' ? '0' : text}.`;
  if (!/^\d$/.test(key) || text.replace(/\D/g, '').length >= MOST_DIGITS) return text;
  return /^-?0$/.test(text) ? text.replace('0', key) : text + key;
}

/** The number typed, or null when it is none yet. @param {string} text @returns {number | null} */
export function numberOf(text) {
  return /^-?\d+(\.\d*)?$/.test(text) ? Number(text) : null;
}

/** A number as it would have been typed. @param {number} value @returns {string} */
export function textOf(value) {
  return Number.isFinite(value) ? String(value) : '';
}
