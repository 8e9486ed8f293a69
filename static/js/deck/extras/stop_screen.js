/**
 * What is written down when the work must stop?
 */
import { make } from '../../shared/dom.js';

export class StopScreen {
  static title = 'Stop card';
  static full = true;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.element = make('section', { class: 'deck-screen is-full', 'aria-label': StopScreen.title });
  }

  /** @param {any} [params] */
  enter(params) {
    void params;
    this.deck.controls.show({});
  }

  leave() {}
}
