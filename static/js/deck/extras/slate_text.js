/**
 * What does the slate say to people and to a machine? Pure: one line of text for the pattern, and the same read back.
 */

/**
 * @typedef {object} Slate
 * @property {string} wall slug
 * @property {string} survey code
 * @property {string} cell
 * @property {string} mode
 * @property {string} side side of the lamp, empty when none is stated
 * @property {string} at the moment as the tablet's clock has it, ISO in UTC
 * @property {number} number running number of the slates of this tablet
 */

/** The first field: what it is and which order of fields follows. Later orders get another number. */
export const SLATE_MARK = 'PONTATA1';
/** The code and the clock change together at this pace: a frame of half a second seldom catches the change. */
export const SLATE_STEP_MS = 5_000;
const FIELDS = 8;

/** @param {Slate} slate @returns {string} */
export function slateText({ wall, survey, cell, mode, side, at, number }) {
  return [SLATE_MARK, ...[wall, survey, cell, mode, side, at].map(escaped), String(number)].join('|');
}

/** What a slate's pattern says, or null when it is none of ours. @param {string} text @returns {Slate | null} */
export function readSlate(text) {
  const parts = text.split('|');
  if (parts.length !== FIELDS || parts[0] !== SLATE_MARK || !/^\d+$/.test(parts[7])) return null;
  const [wall, survey, cell, mode, side, at] = parts.slice(1, 7).map((part) => decodeURIComponent(part));
  return { wall, survey, cell, mode, side, at, number: Number(parts[7]) };
}

/** The moment that the slate shows now. @param {number} now_ms @returns {number} [ms] */
export function slateMoment(now_ms) {
  return Math.floor(now_ms / SLATE_STEP_MS) * SLATE_STEP_MS;
}

/**
 * What the session's note says of slates that were shown: number, cell, light, side, from when to when.
 * @param {{number: number, cell: string, mode: string, side: string, from: string, to: string}[]} shown
 * @returns {string} empty when none was
 */
export function slatesNote(shown) {
  if (!shown.length) return '';
  const lines = shown.map(({ number, cell, mode, side, from, to }) => `${number} ${[cell, mode, side].filter(Boolean).join(' ')} ${from.slice(11, 19)}–${to.slice(11, 19)}`);
  return `Slates shown (UTC): ${lines.join('; ')}.`;
}

/** The field mark must not stand inside a field; a colon may, and keeps the pattern small. @param {string} part */
function escaped(part) {
  return encodeURIComponent(part).replaceAll('%3A', ':');
}
