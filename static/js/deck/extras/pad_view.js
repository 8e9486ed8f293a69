/**
 * How is a number typed with a glove? A pad of large keys; the tablet's own keyboard stays away.
 */
import { fill, make } from '../../shared/dom.js';
import { PAD_KEYS, numberOf, textOf, typed } from './number_pad.js';

/** @type {Record<string, {text: string, name: string}>} */
const KEY_WORDS = { back: { text: '⌫', name: 'Delete the last digit' }, '.': { text: '.', name: 'Decimal point' }, sign: { text: '±', name: 'Below or above nought' }, clear: { text: 'C', name: 'Clear' } };

export class PadView {
  /**
   * @param {object} options
   * @param {string} options.label what the number is
   * @param {(value: number | null) => void} [options.onChange]
   */
  constructor({ label, onChange = () => {} }) {
    this.onChange = onChange;
    this.text = '';
    this.unit = '';
    this.shown = make('output', { class: 'pad-shown', 'aria-label': label });
    this.top = make('div', { class: 'pad-top' });
    this.element = make('div', { class: 'number-pad', role: 'group', 'aria-label': label }, this.top,
      PAD_KEYS.map((row) => make('div', { class: 'pad-row' }, row.map((key) => this.key(key)))));
    this.begin({});
  }

  /** @returns {number | null} */
  get value() {
    return numberOf(this.text);
  }

  /** Begin a number, or set it. @param {{value?: number | null, unit?: string, signed?: boolean}} options */
  begin({ value = null, unit = '', signed = false }) {
    this.text = value === null ? '' : textOf(value);
    this.unit = unit;
    fill(this.top, signed ? this.key('sign') : null, this.shown);
    this.show();
  }

  /** @private @param {string} key */
  key(key) {
    const { text, name } = KEY_WORDS[key] ?? { text: key, name: key };
    return make('button', { type: 'button', class: 'button pad-key', 'aria-label': name, onclick: () => this.press(key) }, text);
  }

  /** @private @param {string} key */
  press(key) {
    this.text = typed(this.text, key);
    this.show();
    this.onChange(this.value);
  }

  /** @private */
  show() {
    fill(this.shown, this.text.replace('-', '−') || '–', this.unit ? make('small', {}, ` ${this.unit}`) : null);
  }
}
