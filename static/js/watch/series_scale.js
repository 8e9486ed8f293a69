/**
 * Which round numbers and moments stand at the edges of a chart? Pure: no page, no clock.
 */

const NICE = [1, 2, 2.5, 5, 10];
const MINUTE = 60;
const HOUR = 3600;
const DAY = 86400;
const STEPS_S = [1, 5, 15, 30, MINUTE, 5 * MINUTE, 15 * MINUTE, 30 * MINUTE, HOUR, 3 * HOUR, 6 * HOUR, 12 * HOUR,
  DAY, 2 * DAY, 7 * DAY, 14 * DAY, 30 * DAY, 91 * DAY, 182 * DAY, 365 * DAY];
const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];

/**
 * Round values from least to most, about `wanted` of them.
 * @param {number} least @param {number} most @param {number} wanted
 * @returns {number[]}
 */
export function roundValues(least, most, wanted) {
  const span = most - least;
  if (!(span > 0)) return [least];
  const rough = span / wanted;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = power * (NICE.find((one) => one * power >= rough) ?? 10);
  const found = [];
  for (let n = Math.ceil(least / step); n * step <= most + step * 1e-9; n += 1) found.push(n * step + 0); // no minus nought
  return found;
}

/**
 * Round moments (seconds since 1970, UTC) in a span, at most `most` of them.
 * @param {number} start @param {number} end @param {number} most
 * @returns {number[]}
 */
export function roundMoments(start, end, most) {
  const step = STEPS_S.find((one) => (end - start) / one <= most) ?? STEPS_S[STEPS_S.length - 1];
  const found = [];
  for (let at = Math.ceil(start / step) * step; at <= end; at += step) found.push(at);
  return found;
}

/**
 * A moment in words, as short as the span allows.
 * @param {number} seconds @param {number} spanSeconds
 */
export function momentText(seconds, spanSeconds) {
  const at = new Date(seconds * 1000);
  const day = `${at.getUTCDate()} ${MONTHS[at.getUTCMonth()]}`;
  const clock = `${two(at.getUTCHours())}:${two(at.getUTCMinutes())}`;
  if (spanSeconds > 200 * DAY) return `${day} ${at.getUTCFullYear()}`;
  if (spanSeconds > 4 * DAY) return day;
  if (spanSeconds > 10 * MINUTE) return `${day}, ${clock}`;
  return `${clock}:${two(at.getUTCSeconds())}`;
}

/** A moment in full. @param {number} seconds */
export function fullMoment(seconds) {
  const at = new Date(seconds * 1000);
  return `${at.getUTCDate()} ${MONTHS[at.getUTCMonth()]} ${at.getUTCFullYear()}, ${two(at.getUTCHours())}:${two(at.getUTCMinutes())} UTC`;
}

/** A number with its digits and a proper minus. @param {number} value @param {number} digits */
export function numberText(value, digits) {
  return value.toFixed(digits).replace('-', '−');
}

/**
 * The next span of a chart after one step: zoomed about a moment, or moved by a share of itself,
 * never beyond the whole and never shorter than a minute.
 * @param {{start: number, end: number}} span
 * @param {{start: number, end: number}} whole
 * @param {{about?: number, factor?: number, move?: number}} step
 */
export function nextSpan(span, whole, { about = (span.start + span.end) / 2, factor = 1, move = 0 }) {
  const length = Math.min(Math.max((span.end - span.start) * factor, MINUTE), whole.end - whole.start);
  const share = (about - span.start) / (span.end - span.start);
  let start = about - share * length + move * (span.end - span.start);
  start = Math.min(Math.max(start, whole.start), whole.end - length);
  return { start, end: start + length };
}

/** How many digits after the point a step needs to be told exactly. @param {number} step */
export function digitsOf(step) {
  for (let digits = 0; digits < 6; digits += 1) {
    const scaled = step * 10 ** digits;
    if (Math.abs(scaled - Math.round(scaled)) < 1e-6) return digits;
  }
  return 6;
}

/** @param {number} value */
function two(value) {
  return String(value).padStart(2, '0');
}
