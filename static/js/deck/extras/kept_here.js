/**
 * What of one kind was stated with this tablet in the open session: readings, fragments, photographs?
 */
import { currentSession } from '../session.js';

/** @typedef {import('../core/rows.js').EntryRow} EntryRow */

/**
 * The standing statements, the newest first; without an open session those of the day.
 * @param {import('../deck.js').Deck} deck
 * @param {string} kind
 * @returns {Promise<EntryRow[]>}
 */
export async function keptHere(deck, kind) {
  const from = currentSession(deck)?.opened_at ?? new Date(deck.platform.now_ms()).toISOString().slice(0, 10);
  return standing(await deck.log.entries(), { kind, from });
}

/** Every standing statement of one kind on this tablet, own and pulled. @param {import('../deck.js').Deck} deck @param {string} kind */
export async function allOf(deck, kind) {
  return standing(await deck.log.entries(), { kind, from: '', own: false });
}

/**
 * Heads of one kind from a moment on. An entry that another one names as its parent stands no more.
 * @param {EntryRow[]} rows
 * @param {{kind: string, from: string, own?: boolean}} options
 * @returns {EntryRow[]}
 */
export function standing(rows, { kind, from, own = true }) {
  const replaced = new Set(rows.flatMap(({ parents }) => parents));
  return rows
    .filter((row) => row.kind === kind && (row.own || !own) && row.made_at >= from && !replaced.has(row.id))
    .sort((one, other) => (one.made_at > other.made_at ? -1 : 1));
}
