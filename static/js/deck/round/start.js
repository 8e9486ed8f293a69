/**
 * Which session was open when the page was last left, and where in the round was it? Reads both before a screen is shown.
 */
import { joinPeople } from './people.js';
import { readRound } from './round.js';
import { takePeople } from './session_acts.js';
import { Timekeeper } from './timekeeper.js';

/** @param {import('../deck.js').Deck} deck */
export async function startRound(deck) {
  const round = await readRound(deck);
  const standing = round.state.session ? deck.record.sessions.get(round.state.session) : null;
  if (standing?.state === 'open') {
    const { kind, conflict, ...session } = standing;
    deck.store.set({ session });
    takePeople(deck, { observer: session.observer, recorder: session.recorder });
  }
  const { cell, mode, bay } = round.state;
  deck.store.set({ cell, mode, bay, lookStage: round.work.stage });
  round.timekeeper = new Timekeeper({ deck, count: (passed) => round.count(passed), keep: () => round.keep() });
  round.timekeeper.start(document);
  joinPeople(deck);
}
