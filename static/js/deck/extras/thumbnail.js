/**
 * What does a kept photograph look like in small? The picture as it is, never tinted; or words where its bytes have gone up.
 */
import { fill, make } from '../../shared/dom.js';

export class Thumbnail {
  /** @param {import('../deck.js').Deck} deck @param {string} digest @param {string} words what it shows */
  constructor(deck, digest, words) {
    this.deck = deck;
    this.digest = digest;
    this.words = words;
    this.url = '';
    this.element = make('div', { class: 'thumbnail' });
  }

  async show() {
    const kept = await this.deck.log.photograph(this.digest);
    if (!kept) return void fill(this.element, make('span', { class: 'muted' }, 'Sent; no longer on this tablet'));
    this.url = URL.createObjectURL(new Blob([kept.bytes], { type: kept.mime }));
    fill(this.element, make('img', { src: this.url, alt: this.words, loading: 'lazy' }));
  }

  close() {
    if (this.url) URL.revokeObjectURL(this.url);
    this.url = '';
  }
}
