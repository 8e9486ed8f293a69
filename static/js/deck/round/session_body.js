/**
 * What do the entries of a session and of a daily check say? Builds their bodies; it sends nothing.
 */
import { madeAt } from '../core/canonical.js';
import { statedMinutes } from './minutes.js';

const LONGEST_LABEL = 80;
const LONGEST_NOTE = 4000;

/**
 * The body with which a session opens.
 * @param {object} options
 * @param {string} options.survey code
 * @param {number} options.now_ms
 * @param {string} options.observer
 * @param {string} options.recorder
 * @param {string | null} options.deck
 * @param {string} options.mode
 */
export function openedBody({ survey, now_ms, observer, recorder, deck, mode }) {
  const opened_at = madeAt(now_ms);
  const label = `${survey} ${opened_at.slice(0, 10)} ${opened_at.slice(11, 16)} UTC, ${observer}`.slice(0, LONGEST_LABEL).trim();
  return {
    state: 'open', label, opened_at, observer, recorder, ...(deck ? { deck } : {}), cells: /** @type {string[]} */ ([]), mode, lamps: /** @type {any[]} */ ([]),
    cautions_read: true, minutes: {}, rechecks: /** @type {any[]} */ ([]),
  };
}

/** Cells of the bays of a session, each once, in the order in which they came. @param {string[]} before @param {string[]} bay */
export function withBay(before, bay) {
  return [...new Set([...before, ...bay])];
}

/** The choice of a bay without any lamp. */
export const DAYLIGHT = 'daylight';

/**
 * What a lamp setting adds to the session: the one before goes off when the next comes on. Daylight is no lamp.
 * @param {any[]} lamps
 * @param {{setting: string, side: string}} lamp
 * @param {number} now_ms
 */
export function withLamp(lamps, { setting, side }, now_ms) {
  if (setting === DAYLIGHT) return lampsOff(lamps, now_ms);
  const last = lamps[lamps.length - 1];
  if (last && !last.off_at && last.setting === setting && last.side === side) return lamps;
  return [...lampsOff(lamps, now_ms), { setting, side, on_at: madeAt(now_ms) }];
}

/** @param {any[]} lamps @param {number} now_ms */
export function lampsOff(lamps, now_ms) {
  return lamps.map((lamp) => (lamp.off_at ? lamp : { ...lamp, off_at: madeAt(now_ms) }));
}

/** Minutes during which any lamp was on, each moment once. @param {any[]} lamps */
export function lampMinutes(lamps) {
  const spans = lamps.filter((lamp) => lamp.off_at).map((lamp) => [Date.parse(lamp.on_at), Date.parse(lamp.off_at)]).sort((one, other) => one[0] - other[0]);
  let [total_ms, reached_ms] = [0, -Infinity];
  for (const [on_ms, off_ms] of spans) {
    total_ms += Math.max(0, off_ms - Math.max(on_ms, reached_ms));
    reached_ms = Math.max(reached_ms, off_ms);
  }
  return Math.round(total_ms / 6_000) / 10;
}

/**
 * The change that closes a session.
 * @param {object} options
 * @param {any} options.body as it stands
 * @param {number} options.now_ms
 * @param {string} options.signed_by
 * @param {Iterable<[string, import('./minutes.js').Times]>} options.times
 * @param {string} options.note
 */
export function closingChange({ body, now_ms, signed_by, times, note }) {
  const at = madeAt(now_ms);
  const lamps = lampsOff(body.lamps ?? [], now_ms);
  return { state: 'closed', closed_at: at, signed_by, signed_at: at, lamps, lamp_minutes: lampMinutes(lamps), ...statedMinutes(times), ...(note.trim() ? { note: joined(body.note, note) } : {}) };
}

/** A note goes on after what stands in it, as long as there is room. @param {string | undefined} before @param {string} more */
export function joined(before, more) {
  const whole = [before?.trim(), more.trim()].filter(Boolean).join(' ');
  return whole.length <= LONGEST_NOTE ? whole : (before ?? '').trim();
}

/**
 * @param {object} options
 * @param {string} options.session object id
 * @param {string} options.day ISO date
 * @param {Record<string, {state: string, note: string}>} options.checks by thing
 * @param {string} options.tag_date ISO date, or empty
 */
export function dailyCheckBody({ session, day, checks, tag_date }) {
  const items = Object.entries(checks).map(([what, { state, note }]) => ({ what, state, ...(note.trim() ? { note: note.trim() } : {}) }));
  return { session, checked_on: day, items, ...(tag_date ? { tag_date } : {}) };
}
