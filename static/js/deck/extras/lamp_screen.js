/**
 * Which lamps were on, and how long?
 */
import { make } from '../../shared/dom.js';

export class LampScreen {
  static title = 'Lamp';
  static full = true;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.element = make('section', { class: 'deck-screen is-full', 'aria-label': LampScreen.title });
  }

  /** @param {any} [params] */
  enter(params) {
    void params;
    this.deck.controls.show({});
  }

  leave() {}
}
