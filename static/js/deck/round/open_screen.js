/**
 * Who opens the session, and what was checked first?
 */
import { make } from '../../shared/dom.js';

export class OpenScreen {
  static title = 'Open the session';
  static full = true;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.element = make('section', { class: 'deck-screen is-full', 'aria-label': OpenScreen.title });
  }

  /** @param {any} [params] */
  enter(params) {
    void params;
    this.deck.controls.show({});
  }

  leave() {}
}
