/**
 * Which cells come next in the walk?
 */
import { make } from '../../shared/dom.js';

export class WalkScreen {
  static title = 'Walk';
  static full = false;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.element = make('section', { class: 'deck-screen is-plate', 'aria-label': WalkScreen.title });
  }

  /** @param {any} [params] */
  enter(params) {
    void params;
    this.deck.controls.show({});
  }

  leave() {}
}
