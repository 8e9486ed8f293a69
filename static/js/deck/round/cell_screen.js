/**
 * What does the observer answer to the outlines of one cell?
 */
import { make } from '../../shared/dom.js';

export class CellScreen {
  static title = 'Cell';
  static full = false;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.element = make('section', { class: 'deck-screen is-plate', 'aria-label': CellScreen.title });
  }

  /** @param {any} [params] */
  enter(params) {
    void params;
    this.deck.controls.show({});
  }

  leave() {}
}
