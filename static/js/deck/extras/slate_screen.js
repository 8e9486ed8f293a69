/**
 * What is photographed with the record camera before each set? Cell, light, side of the lamp, date and time, as large words
 * and as a pattern for a machine, black on white.
 */
// @ts-ignore the static files' finder puts the package's folder there
import { qrcode } from '../../../vendor/qrcode/qrcode.mjs';
import { button } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';
import { capital, dateText, modeName } from '../../wall/words.js';
import { madeAt } from '../core/canonical.js';
import { currentSession } from '../session.js';
import { clockToSecond, dayOf, zoneText } from './clock.js';
import { burning } from './lamp_words.js';
import { patternOf, patternPicture } from './slate_code.js';
import { SlateLog } from './slate_log.js';
import { slateMoment, slateText } from './slate_text.js';

const LOOK_EVERY_MS = 500;
const SIDES = ['left', 'right', 'top', 'below', 'even', ''];
/** @type {Record<string, string>} */
const SIDE_WORDS = { left: 'lamp from the left', right: 'lamp from the right', top: 'lamp from above', below: 'lamp from below', even: 'even, both sides', '': 'no lamp side' };

export class SlateScreen {
  static title = 'Slate';
  static full = true;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.element = make('section', { class: 'deck-screen slate-screen', 'aria-label': SlateScreen.title });
    this.log = new SlateLog(deck);
    this.slate = { cell: '', mode: '', side: '' };
    this.number = 0;
    this.at_ms = 0;
    this.words = make('div', { class: 'slate-words' });
    this.code = make('div', { class: 'slate-code-place' });
    this.buttons = make('div', { class: 'slate-buttons' });
    /** @type {(() => void) | null} */
    this.stopLooking = null;
  }

  async enter() {
    const { deck } = this;
    deck.controls.show({});
    await this.log.read().catch(() => {});
    const lamp = burning(currentSession(deck)?.lamps ?? []);
    fill(this.element, make('div', { class: 'slate-sheet' }, this.code, this.words), this.buttons);
    this.change({ cell: deck.store.state.cell, mode: deck.store.state.mode, side: lamp?.side ?? (deck.store.state.mode === 'raking' ? 'left' : 'even') });
    this.look();
  }

  leave() {
    this.stopLooking?.();
    this.stopLooking = null;
    this.log.end();
    void this.log.intoSession();
  }

  /** @private @param {Partial<{cell: string, mode: string, side: string}>} change */
  change(change) {
    this.slate = { ...this.slate, ...change };
    this.number = this.log.begin(this.slate);
    this.at_ms = 0;
    this.show();
    this.showButtons();
  }

  /** @private The clock moves on by itself. */
  look() {
    this.stopLooking = this.deck.platform.later(() => { this.show(); this.look(); }, LOOK_EVERY_MS);
  }

  /** @private */
  show() {
    const at_ms = slateMoment(this.deck.platform.now_ms());
    if (at_ms === this.at_ms) return;
    this.at_ms = at_ms;
    const { cell, mode, side } = this.slate;
    const { wall, survey } = this.deck.pack.boot;
    const text = slateText({ wall: wall.slug, survey: survey.code, cell, mode, side, at: madeAt(at_ms), number: this.number });
    fill(this.code, patternPicture(patternOf(text, qrcode), text));
    fill(this.words, make('p', { class: 'slate-cell' }, cell), make('p', { class: 'slate-light' }, capital(modeName(mode)), make('br'), SIDE_WORDS[side]),
      make('p', { class: 'slate-time' }, clockToSecond(at_ms), make('small', {}, ` ${zoneText(at_ms)}`)), make('p', {}, dateText(dayOf(at_ms))),
      make('p', {}, `${wall.name} · survey ${survey.code} · slate ${this.number}`));
  }

  /** @private */
  showButtons() {
    const { cell, mode, side } = this.slate;
    const modes = this.deck.pack.boot.survey.modes;
    const cells = this.deck.store.state.bay.includes(cell) ? this.deck.store.state.bay : this.deck.plan.labels;
    const step = (/** @type {1 | -1} */ by) => cells[(cells.indexOf(cell) + by + cells.length) % cells.length];
    fill(this.buttons,
      button(`‹ ${step(-1)}`, () => this.change({ cell: step(-1) }), { 'aria-label': `Slate of ${step(-1)}` }),
      button(`${step(1)} ›`, () => this.change({ cell: step(1) }), { 'aria-label': `Slate of ${step(1)}` }),
      button(`Lamp: ${side || 'none'}`, () => this.change({ side: after(SIDES, side) }), { 'aria-label': `Lamp: ${side || 'none'}. Take the next side` }),
      modes.length > 1 ? button(capital(modeName(mode)), () => this.change({ mode: after(modes, mode) }), { 'aria-label': `${capital(modeName(mode))}. Take the next light` }) : null,
      button('Done', () => void this.deck.back()));
  }
}

/** @param {string[]} all @param {string} one */
function after(all, one) {
  return all[(all.indexOf(one) + 1) % all.length];
}
