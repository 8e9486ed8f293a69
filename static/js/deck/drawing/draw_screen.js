/**
 * How is an outline drawn on the deck?
 */
import { make } from '../../shared/dom.js';

export class DrawScreen {
  static title = 'Draw';
  static full = false;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.element = make('section', { class: 'deck-screen is-plate', 'aria-label': DrawScreen.title });
  }

  /** @param {any} [params] */
  enter(params) {
    void params;
    this.deck.controls.show({});
  }

  leave() {}
}
