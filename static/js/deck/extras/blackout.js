/**
 * How is the screen darkened at one tap, since a lit screen spoils raking and ultraviolet light? Any touch wakes it, and that
 * touch does nothing else.
 */
import { make } from '../../shared/dom.js';

/** A long touch ends without a click; then the screen wakes by itself after this pause. */
const WITHOUT_CLICK_MS = 400;
const LIGHT_COLOUR = '#14100C';

export class Blackout {
  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.cover = make('div', { class: 'blackout', id: 'deck-blackout', role: 'button', tabindex: '0', 'aria-label': 'The screen is dark. Touch to light it.', hidden: true });
    document.body.append(this.cover);
    /** @type {(() => void) | null} */
    this.waiting = null;
    this.listen();
  }

  /** @private */
  listen() {
    const { cover } = this;
    for (const name of ['pointerdown', 'pointermove', 'mousedown', 'mouseup', 'touchstart', 'touchend', 'contextmenu', 'wheel']) {
      cover.addEventListener(name, (event) => { event.stopPropagation(); if (name === 'contextmenu') event.preventDefault(); });
    }
    cover.addEventListener('pointerup', (event) => {
      event.stopPropagation();
      this.waiting = this.deck.platform.later(() => this.wake(), WITHOUT_CLICK_MS);
    });
    cover.addEventListener('click', (event) => { event.stopPropagation(); event.preventDefault(); this.wake(); });
    cover.addEventListener('keydown', (event) => { event.stopPropagation(); event.preventDefault(); this.wake(); });
    this.deck.store.watch(['blackout'], ({ blackout }) => (blackout ? this.darken() : this.light()));
  }

  /** @private */
  darken() {
    this.cover.hidden = false;
    this.cover.focus({ preventScroll: true });
    colourOfFrame('#000000');
    // Takes the browser's own bars off the glass where it may; the page is dark without it too.
    void this.cover.requestFullscreen?.({ navigationUI: 'hide' }).catch(() => {});
  }

  /** @private */
  light() {
    if (this.cover.hidden) return;
    this.cover.hidden = true;
    colourOfFrame(LIGHT_COLOUR);
    if (document.fullscreenElement === this.cover) void document.exitFullscreen().catch(() => {});
  }

  /** @private */
  wake() {
    this.waiting?.();
    this.waiting = null;
    this.deck.store.set({ blackout: false });
  }
}

/** @param {string} colour */
function colourOfFrame(colour) {
  document.querySelector('meta[name=theme-color]')?.setAttribute('content', colour);
}
