/**
 * How do this tablet and its unsent work stand?
 */
import { make } from '../../shared/dom.js';

export class TabletScreen {
  static title = 'Tablet';
  static full = true;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.element = make('section', { class: 'deck-screen is-full', 'aria-label': TabletScreen.title });
  }

  /** @param {any} [params] */
  enter(params) {
    void params;
    this.deck.controls.show({});
  }

  leave() {}
}
