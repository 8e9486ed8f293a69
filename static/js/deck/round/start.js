/**
 * Which session was open when the page was last left?
 */

/** @param {import('../deck.js').Deck} deck */
export async function startRound(deck) {
  void deck;
}
