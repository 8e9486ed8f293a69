/**
 * Has this tablet all that it needs before it is carried up?
 */
import { make } from '../../shared/dom.js';

export class PrepareScreen {
  static title = 'Prepare this tablet';
  static full = true;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.element = make('section', { class: 'deck-screen is-full', 'aria-label': PrepareScreen.title });
  }

  /** @param {any} [params] */
  enter(params) {
    void params;
    this.deck.controls.show({});
  }

  leave() {}
}
