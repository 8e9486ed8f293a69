/**
 * What does "cell done" assert?
 */
import { make } from '../../shared/dom.js';

export class DoneScreen {
  static title = 'Cell done';
  static full = false;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.element = make('section', { class: 'deck-screen is-plate', 'aria-label': DoneScreen.title });
  }

  /** @param {any} [params] */
  enter(params) {
    void params;
    this.deck.controls.show({});
  }

  leave() {}
}
