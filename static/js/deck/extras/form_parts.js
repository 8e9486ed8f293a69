/**
 * How do the cards of the deck ask: by large words to tap, a minute to shift, text that is taken letter by letter? It knows no record.
 */
import { button, freshId } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';
import { clockFrom, zoneText } from './clock.js';

const MINUTE_MS = 60_000;

/**
 * Words of which several can be chosen.
 * @param {object} options
 * @param {string} options.label
 * @param {string[]} options.words
 * @param {(word: string) => boolean} options.isChosen
 * @param {(word: string) => void} options.onToggle
 */
export function wordButtons({ label, words, isChosen, onToggle }) {
  const labelId = freshId('words');
  const buttons = words.map((word) => button(word, () => { onToggle(word); show(); }, { class: 'choice' }));
  const show = () => buttons.forEach((one, index) => one.setAttribute('aria-pressed', String(isChosen(words[index]))));
  show();
  return make('div', { class: 'field', role: 'group', 'aria-labelledby': labelId }, make('span', { class: 'label', id: labelId }, label), make('div', { class: 'choice-row' }, buttons));
}

/**
 * Text that is taken with every letter, so that a page that ends has it all.
 * @param {object} options
 * @param {string} options.label
 * @param {string} options.value
 * @param {(text: string) => void} options.onInput
 * @param {boolean} [options.tall]
 * @param {string} [options.hint]
 * @param {Record<string, any>} [options.attributes]
 */
export function liveText({ label, value, onInput, tall = false, hint, attributes = {} }) {
  const id = freshId('text');
  const input = tall ? make('textarea', { id, rows: 2, ...attributes }) : make('input', { id, type: 'text', autocomplete: 'off', ...attributes });
  input.value = value;
  input.addEventListener('input', () => onInput(input.value));
  return make('div', { class: 'field' }, make('label', { for: id }, label), input, hint ? make('p', { class: 'hint' }, hint) : null);
}

/**
 * A minute that stands at now and can be shifted.
 * @param {object} options
 * @param {string} options.label
 * @param {number} options.at_ms
 * @param {() => number} options.now_ms
 * @param {(at_ms: number) => void} options.onChange
 */
export function minuteChooser({ label, at_ms, now_ms, onChange }) {
  let chosen_ms = at_ms;
  const shown = make('strong', { class: 'minute-shown', role: 'status' });
  const show = () => fill(shown, clockFrom(chosen_ms, now_ms()), make('small', {}, ` ${zoneText(chosen_ms)}`));
  const shift = (/** @type {number} */ to_ms) => { chosen_ms = Math.min(to_ms, now_ms()); show(); onChange(chosen_ms); };
  show();
  const step = (/** @type {number} */ minutes) => button(`${minutes < 0 ? '−' : '+'}${Math.abs(minutes)} min`, () => shift(chosen_ms + minutes * MINUTE_MS), { class: 'choice' });
  return make('div', { class: 'field', role: 'group', 'aria-label': label }, make('span', { class: 'label' }, label),
    make('div', { class: 'choice-row minute-row' }, shown, step(-10), step(-1), step(1), button('Now', () => shift(now_ms()), { class: 'choice' })));
}

/** A part of a card under its own heading. @param {string} title @param {...(import('../../shared/dom.js').Child | import('../../shared/dom.js').Child[])} children */
export function part(title, ...children) {
  return make('section', { class: 'card-part' }, make('h3', {}, title), ...children);
}

/** Sentences that must be read, one under the other. @param {string[]} sentences */
export function cautionList(sentences) {
  return make('ul', { class: 'caution-list' }, sentences.map((sentence) => make('li', {}, sentence)));
}
