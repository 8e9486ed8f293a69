/**
 * Which helps of the deck run beside every screen?
 */

/** @param {import('../deck.js').Deck} deck */
export async function startExtras(deck) {
  void deck;
}
