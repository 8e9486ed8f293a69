/**
 * What of the drawing must stand from the start?
 */

/** @param {import('../deck.js').Deck} deck */
export async function startDrawing(deck) {
  void deck;
}
