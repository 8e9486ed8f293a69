/**
 * What do the round's screens state of the session: opened with its daily check, other people, a bay begun, signed and
 * closed? Each resolves once its entry is on the tablet's disk.
 */
import { changeSession, currentSession, openSession } from '../session.js';
import { closeRound, openRound } from './round_state.js';
import { roundOf } from './round.js';
import { closingChange, dailyCheckBody, joined, openedBody, withBay, withLamp } from './session_body.js';

/** @typedef {import('../deck.js').Deck} Deck */
/** @typedef {{observer: string, recorder: string}} People */

/**
 * Open a session and state the daily check.
 * @param {Deck} deck
 * @param {object} options
 * @param {People} options.people
 * @param {Record<string, {state: string, note: string}>} options.checks
 * @param {string} options.tag_date
 * @returns {Promise<boolean>}
 */
export async function beginSession(deck, { people, checks, tag_date }) {
  const round = roundOf(deck);
  const now_ms = deck.platform.now_ms();
  const body = openedBody({ survey: deck.record.survey.code, now_ms, ...people, deck: deck.plan.deckOf(round.cell), mode: round.mode });
  takePeople(deck, people);
  if (!(await deck.keep(() => openSession(deck, body)))) return false;
  const session = /** @type {import('../session.js').Session} */ (currentSession(deck));
  await round.change(openRound(round.state, session.id));
  const check = dailyCheckBody({ session: session.id, day: deck.record.today(), checks, tag_date });
  return deck.keep(() => deck.record.say('daily-check', check));
}

/** Everything said from now on names these two. @param {Deck} deck @param {People} people */
export function takePeople(deck, people) {
  Object.assign(deck.record.author, people);
}

/** Others observe or record from now on, and the session says so. @param {Deck} deck @param {People} people */
export async function changePeople(deck, people) {
  takePeople(deck, people);
  return deck.keep(() => changeSession(deck, { ...people }));
}

/**
 * A bay is begun under one lamp setting and mode.
 * @param {Deck} deck
 * @param {{cells: string[], mode: string, deckName: string | null, lamp: {setting: string, side: string}, looked: string}} bay looked: what was looked over first, in words
 */
export function stateBay(deck, { cells, mode, deckName, lamp, looked }) {
  const now_ms = deck.platform.now_ms();
  return deck.keep(() => changeSession(deck, (body) => ({
    cells: withBay(body.cells ?? [], cells), mode, deck: deckName ?? undefined, lamps: withLamp(body.lamps ?? [], lamp, now_ms), note: joined(body.note, looked),
  })));
}

/** The observer signs and the session ends. @param {Deck} deck @param {{signed_by: string, note: string}} signature */
export async function endSession(deck, { signed_by, note }) {
  const round = roundOf(deck);
  const [now_ms, times, rechecks] = [deck.platform.now_ms(), round.times(), round.state.recheck?.answers];
  const kept = await deck.keep(() => changeSession(deck, (body) => ({ ...closingChange({ body, now_ms, signed_by, times, note }), rechecks: rechecks ?? body.rechecks ?? [] })));
  if (kept) await round.change(closeRound(round.state));
  return kept;
}
