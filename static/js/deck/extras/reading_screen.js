/**
 * What was measured at one place?
 */
import { make } from '../../shared/dom.js';

export class ReadingScreen {
  static title = 'Spot reading';
  static full = true;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.element = make('section', { class: 'deck-screen is-full', 'aria-label': ReadingScreen.title });
  }

  /** @param {any} [params] */
  enter(params) {
    void params;
    this.deck.controls.show({});
  }

  leave() {}
}
