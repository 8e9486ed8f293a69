/**
 * What stays on the page until somebody acts? Lines that lie between head and plate; the gravest is shown, the rest are counted.
 */
import { fill, make } from '../shared/dom.js';

/**
 * @typedef {object} Banner
 * @property {string} message what, where, and what to do
 * @property {'info' | 'warn' | 'error'} kind
 * @property {{label: string, act: () => void}[]} [actions]
 */

const GRAVITY = { error: 2, warn: 1, info: 0 };

export class Banners {
  /** @param {HTMLElement} place */
  constructor(place) {
    this.place = place;
    /** @type {Map<string, Banner>} */
    this.standing = new Map();
  }

  /** Put one up, change it, or take it away. @param {string} key @param {Banner | null} banner */
  set(key, banner) {
    if (banner) this.standing.set(key, banner);
    else if (!this.standing.delete(key)) return;
    this.show();
  }

  /** All of them but those named, the gravest first. @param {string[]} [but] @returns {Banner[]} */
  all(but = []) {
    return [...this.standing].filter(([key]) => !but.includes(key)).map(([, banner]) => banner).sort((one, other) => GRAVITY[other.kind] - GRAVITY[one.kind]);
  }

  /** @private */
  show() {
    const [first, ...rest] = this.all();
    this.place.className = `deck-banner${first ? ` is-${first.kind}` : ''}`;
    if (!first) return void fill(this.place);
    const more = rest.length ? ` (${rest.length} more on the tablet screen)` : '';
    fill(this.place, make('p', {}, first.message + more), (first.actions ?? []).map(({ label, act }) => make('button', { type: 'button', class: 'button', onclick: act }, label)));
  }
}
