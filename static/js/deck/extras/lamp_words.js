/**
 * Which lamp is on, and for how many minutes have lamps been on? Pure; the session's entry holds the list.
 */
import { lampMinutes, lampsOff, withLamp } from '../round/session_body.js';

/** @typedef {{setting: string, side: string, lux?: number, lux_at?: string, on_at: string, off_at?: string}} Lamp */

/** @type {{value: string, text: string}[]} */
export const LAMP_SIDES = [{ value: 'left', text: 'From the left' }, { value: 'right', text: 'From the right' }, { value: 'top', text: 'From above' }, { value: 'below', text: 'From below' }, { value: 'even', text: 'Even, both sides' }];
const BRIGHTEST_LX = 200_000;
const LONGEST_SETTING = 80;

/** The lamp that is on now, if one is. @param {Lamp[]} lamps @returns {Lamp | null} */
export function burning(lamps) {
  const last = lamps[lamps.length - 1];
  return last && !last.off_at ? last : null;
}

/** Whole minutes with any lamp on so far, the running one counted up to now. @param {Lamp[]} lamps @param {number} now_ms */
export function minutesSoFar(lamps, now_ms) {
  return Math.floor(lampMinutes(lampsOff(lamps, now_ms)));
}

/** Minutes since the lamp that is on was switched on, whole ones. @param {Lamp} lamp @param {number} now_ms */
export function minutesOn(lamp, now_ms) {
  return Math.max(0, Math.floor((now_ms - Date.parse(lamp.on_at)) / 60_000));
}

/** What the head says of the lamps. @param {Lamp[]} lamps @param {number} now_ms @returns {{title: string, detail: string, on: boolean}} */
export function lampHead(lamps, now_ms) {
  const lamp = burning(lamps);
  if (lamp) return { title: `Lamp on ${minutesOn(lamp, now_ms)} min`, detail: lamp.side, on: true };
  const minutes = minutesSoFar(lamps, now_ms);
  return { title: 'Lamp off', detail: minutes ? `${minutes} min so far` : 'no minutes yet', on: false };
}

/** What is wrong with a setting or its reading, in words; empty when nothing is. @param {{setting: string, lux: number | null}} stated */
export function troubleWithLamp({ setting, lux }) {
  if (!setting.trim()) return 'The setting is not said. Choose or write how the lamp stands.';
  if (setting.trim().length > LONGEST_SETTING) return `The setting is longer than ${LONGEST_SETTING} characters. Shorten it.`;
  if (lux !== null && (lux < 0 || lux > BRIGHTEST_LX)) return `${lux} lx lies outside 0 to ${BRIGHTEST_LX} lx. Check the reading.`;
  return '';
}

/**
 * The session's change when a lamp goes on; the one before goes off.
 * @param {Lamp[]} lamps
 * @param {{setting: string, side: string}} lamp
 * @param {number} now_ms
 */
export function switchedOn(lamps, lamp, now_ms) {
  const next = withLamp(lamps, { setting: lamp.setting.trim(), side: lamp.side }, now_ms);
  return next === lamps ? {} : { lamps: next, lamp_minutes: lampMinutes(next) };
}

/** The session's change when the lamps go off. @param {Lamp[]} lamps @param {number} now_ms */
export function switchedOff(lamps, now_ms) {
  const next = lampsOff(lamps, now_ms);
  return { lamps: next, lamp_minutes: lampMinutes(next) };
}

/** The session's change when the light of the lamp that is on was measured. @param {Lamp[]} lamps @param {{lux: number, lux_at: string}} measured */
export function measured(lamps, { lux, lux_at }) {
  const lamp = burning(lamps);
  if (!lamp) return {};
  return { lamps: [...lamps.slice(0, -1), { ...lamp, lux, ...(lux_at.trim() ? { lux_at: lux_at.trim() } : {}) }] };
}
