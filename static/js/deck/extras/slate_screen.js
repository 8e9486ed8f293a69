/**
 * What is photographed before a set of record photographs?
 */
import { make } from '../../shared/dom.js';

export class SlateScreen {
  static title = 'Slate';
  static full = true;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.element = make('section', { class: 'deck-screen is-full', 'aria-label': SlateScreen.title });
  }

  /** @param {any} [params] */
  enter(params) {
    void params;
    this.deck.controls.show({});
  }

  leave() {}
}
