/**
 * What does the stop card state, and in which words does the page speak of a stop? Pure: it sends nothing and rings nobody.
 */
import { clockFrom } from './clock.js';

/**
 * @typedef {object} Call
 * @property {string} who
 * @property {string} [number]
 * @property {string} at ISO
 * @property {string} [said]
 *
 * @typedef {object} Stop
 * @property {string} noticed_at ISO
 * @property {string} activity
 * @property {string[]} cells
 * @property {string} [fragments]
 * @property {string[]} [photographs]
 * @property {Call[]} told
 * @property {'open' | 'lifted'} state
 * @property {string} [lifted_because]
 * @property {string} [session]
 * @property {string} [note]
 */

export const NOBODY_TOLD = 'Nobody has been told yet.';
/** What may have been going on; several can be true. Common practice, no source. */
export const ACTIVITIES = ['demolition', 'drilling or cutting', 'hammering', 'lifting or impact', 'vibration felt', 'fresh debris', 'water', 'smoke or hot work', 'dust', 'sheet or seal loose', 'sensor alarm', 'not sure what'];
export const FRAGMENT_WORDS = ['none seen', 'lying on the boards', 'still falling', 'not looked for yet'];
/** What must be known before a stop can be lifted. Common practice, no source. */
export const LIFTING_RULE = 'Lift it only when the cells named above were examined, or each that cannot be reached is named with the reason and who accepts it.';

/** An empty card. @param {{at: string, cell: string}} now @returns {Stop} */
export function freshStop({ at, cell }) {
  return { noticed_at: at, activity: '', cells: cell ? [cell] : [], fragments: '', photographs: [], told: [], state: 'open', note: '' };
}

/** Whether anything was put on a card that was opened. @param {Stop} stop */
export function isFilled({ activity, cells, fragments, photographs, told, note }) {
  return Boolean(activity || fragments || photographs?.length || told.length || note || cells.length > 1);
}

/** What keeps a card from being logged, in words; empty when nothing does. @param {Stop} stop */
export function missingOf({ activity }) {
  return activity.trim() ? '' : 'What was seen or heard is not said yet. Tap the nearest word, or "not sure what".';
}

/** The body of the entry; what is empty is left out. @param {Stop} stop @param {string | null} session @returns {Record<string, any>} */
export function stopBody({ noticed_at, activity, cells, fragments = '', photographs = [], told, state, lifted_because = '', note = '', session: before }, session) {
  const held = before ?? session;
  return {
    noticed_at, activity: activity.trim(), cells, told, state,
    ...(fragments.trim() ? { fragments: fragments.trim() } : {}), ...(photographs.length ? { photographs } : {}),
    ...(lifted_because.trim() ? { lifted_because: lifted_because.trim() } : {}), ...(held ? { session: held } : {}), ...(note.trim() ? { note: note.trim() } : {}),
  };
}

/** @param {Stop} stop @param {{who: string, number?: string, at: string, said?: string}} call @returns {Stop} */
export function withCall(stop, { who, number = '', at, said = '' }) {
  if (!who.trim()) throw new Error('Whom you rang is not said. Choose or write the name.');
  const call = { who: who.trim(), at, ...(number.trim() ? { number: number.trim() } : {}), ...(said.trim() ? { said: said.trim() } : {}) };
  return { ...stop, told: [...stop.told, call] };
}

/** @param {Stop} stop @param {string} reason @returns {Stop} */
export function lifted(stop, reason) {
  if (!reason.trim()) throw new Error('Why the stop is lifted is not said. Write what was examined and who decides.');
  return { ...stop, state: 'lifted', lifted_because: reason.trim() };
}

/**
 * What several versions of one stop say together: nothing that anybody logged is left out, and it is lifted only when all say so.
 * @param {Stop[]} versions
 * @returns {Stop}
 */
export function together(versions) {
  const [first] = versions;
  const all = (/** @type {(stop: Stop) => string[]} */ list) => [...new Set(versions.flatMap(list))];
  const text = (/** @type {(stop: Stop) => string | undefined} */ one) => all((stop) => [one(stop) ?? ''].filter(Boolean)).join('; ');
  const calls = new Map(versions.flatMap(({ told }) => told).map((call) => [JSON.stringify([call.who, call.at, call.said ?? '']), call]));
  const state = versions.every((stop) => stop.state === 'lifted') ? 'lifted' : 'open';
  return {
    ...first, state, activity: text(({ activity }) => activity), fragments: text(({ fragments }) => fragments), note: text(({ note }) => note),
    cells: all(({ cells }) => cells), photographs: all(({ photographs }) => photographs ?? []),
    noticed_at: versions.map(({ noticed_at }) => noticed_at).sort()[0], told: [...calls.values()].sort((one, other) => (one.at < other.at ? -1 : 1)),
    ...(state === 'lifted' ? { lifted_because: text(({ lifted_because }) => lifted_because) } : { lifted_because: '' }),
  };
}

/** Words chosen on buttons joined with what was written; the order of the buttons holds. @param {string} text @param {string} word @param {string[]} words */
export function toggledWord(text, word, words) {
  const parts = text.split('; ').filter(Boolean);
  const kept = parts.includes(word) ? parts.filter((part) => part !== word) : [...parts, word];
  return [...words.filter((one) => kept.includes(one)), ...kept.filter((one) => !words.includes(one))].join('; ');
}

/** What was written beside the buttons. @param {string} text @param {string[]} words */
export function freeText(text, words) {
  return text.split('; ').filter((part) => part && !words.includes(part)).join('; ');
}

/** The text when the part beside the buttons is written anew. @param {string} text @param {string} free @param {string[]} words */
export function withFreeText(text, free, words) {
  const kept = text.split('; ').filter((part) => words.includes(part));
  return [...kept, free.trim()].filter(Boolean).join('; ');
}

/** Whom somebody told, in one sentence. @param {Stop} stop @param {number} now_ms */
export function toldSentence({ told }, now_ms) {
  if (!told.length) return NOBODY_TOLD;
  const last = told[told.length - 1];
  const others = told.length > 1 ? ` and ${told.length - 1} earlier ${told.length === 2 ? 'call' : 'calls'}` : '';
  return `Told: ${last.who} at ${clockFrom(last.at, now_ms)}${others}.`;
}

/**
 * What the head says of stops that are open; null when none is.
 * @param {Stop[]} open
 * @param {number} now_ms
 * @returns {{title: string, detail: string} | null}
 */
export function headWords(open, now_ms) {
  if (!open.length) return null;
  const first = open.reduce((earliest, stop) => (stop.noticed_at < earliest.noticed_at ? stop : earliest));
  const untold = open.filter(({ told }) => !told.length).length;
  const told = untold ? 'nobody told' : `${first.told[0].who.split(',')[0]} told`;
  return { title: open.length === 1 ? 'STOP OPEN' : `${open.length} STOPS OPEN`, detail: `since ${clockFrom(first.noticed_at, now_ms)}, ${told}` };
}
