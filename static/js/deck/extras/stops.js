/**
 * Which stops are open on this wall as far as this tablet knows, and how is one stated or changed?
 */
import { headsOf } from '../core/view.js';
import { currentSession } from '../session.js';
import { stopBody, together } from './stop_body.js';

/** @typedef {import('../deck.js').Deck} Deck */
/** @typedef {import('./stop_body.js').Stop & {id: string}} KnownStop */

/** Open stops, the earliest first. @param {Deck} deck @returns {KnownStop[]} */
export function openStops(deck) {
  const stops = /** @type {any[]} */ ([...(deck.record?.stops.values() ?? [])]);
  return stops.filter(({ state }) => state === 'open').sort((one, other) => (one.noticed_at < other.noticed_at ? -1 : 1));
}

/**
 * A stop with everything that anybody stated of it: two tablets may have logged calls without knowing of each other.
 * @param {Deck} deck
 * @param {KnownStop} shown
 * @returns {Promise<KnownStop>}
 */
export async function wholeStop(deck, shown) {
  const rows = (await deck.log.entries()).filter((row) => row.object_id === shown.id);
  const heads = headsOf(rows);
  return heads.length > 1 ? { id: shown.id, ...together(heads.map(({ body }) => /** @type {any} */ (body))) } : shown;
}

/**
 * State a stop, new or changed; resolves when it is on the disk.
 * @param {Deck} deck
 * @param {KnownStop} stop
 */
export async function sayStop(deck, { id, ...stop }) {
  await deck.record.say('stop', stopBody(stop, currentSession(deck)?.id ?? null), { objectId: id });
}
