/**
 * What does the watch on the deck show? Moments are kept in UTC; people read the tablet's own time, with its zone named.
 */

const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];

/** Hours and minutes. @param {string | number} moment ISO or [ms] */
export function clock(moment) {
  const date = new Date(moment);
  return `${two(date.getHours())}:${two(date.getMinutes())}`;
}

/** Hours, minutes and seconds. @param {string | number} moment ISO or [ms] */
export function clockToSecond(moment) {
  return `${clock(moment)}:${two(new Date(moment).getSeconds())}`;
}

/** Hours and minutes, with the day in front where it is not today. @param {string | number} moment ISO or [ms] @param {number} now_ms */
export function clockFrom(moment, now_ms) {
  if (dayOf(moment) === dayOf(now_ms)) return clock(moment);
  const date = new Date(moment);
  return `${date.getDate()} ${MONTHS[date.getMonth()]} ${clock(moment)}`;
}

/** The day as the tablet has it, ISO. @param {string | number} moment ISO or [ms] */
export function dayOf(moment) {
  const date = new Date(moment);
  return `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}`;
}

/** The tablet's zone at a moment, as it stands behind a time. @param {string | number} moment ISO or [ms] */
export function zoneText(moment) {
  const ahead_min = -new Date(moment).getTimezoneOffset();
  if (!ahead_min) return 'UTC';
  const [hours, minutes] = [Math.floor(Math.abs(ahead_min) / 60), Math.abs(ahead_min) % 60];
  return `UTC${ahead_min < 0 ? '−' : '+'}${hours}${minutes ? `:${two(minutes)}` : ''}`;
}

/** @param {number} number */
function two(number) {
  return String(number).padStart(2, '0');
}
