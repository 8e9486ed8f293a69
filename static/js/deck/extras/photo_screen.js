/**
 * Which photograph is kept as a note?
 */
import { make } from '../../shared/dom.js';

export class PhotoScreen {
  static title = 'Photograph';
  static full = true;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.element = make('section', { class: 'deck-screen is-full', 'aria-label': PhotoScreen.title });
  }

  /** @param {any} [params] */
  enter(params) {
    void params;
    this.deck.controls.show({});
  }

  leave() {}
}
