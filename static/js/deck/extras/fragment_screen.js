/**
 * Which fragment was found, and where?
 */
import { make } from '../../shared/dom.js';

export class FragmentScreen {
  static title = 'Fragment';
  static full = true;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.element = make('section', { class: 'deck-screen is-full', 'aria-label': FragmentScreen.title });
  }

  /** @param {any} [params] */
  enter(params) {
    void params;
    this.deck.controls.show({});
  }

  leave() {}
}
