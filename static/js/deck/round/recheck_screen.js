/**
 * What does a second, blind look find?
 */
import { make } from '../../shared/dom.js';

export class RecheckScreen {
  static title = 'Look again';
  static full = false;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.element = make('section', { class: 'deck-screen is-plate', 'aria-label': RecheckScreen.title });
  }

  /** @param {any} [params] */
  enter(params) {
    void params;
    this.deck.controls.show({});
  }

  leave() {}
}
