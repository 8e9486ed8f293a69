/**
 * Which controls lie under the thumb at this moment? Up to four large ones, the others below them, and room for a panel.
 * A control acts on release; it is kept in place when it only changes its words, so that a finger never meets another one.
 */
import { fill, make } from '../shared/dom.js';

/**
 * @typedef {object} Control
 * @property {string} id
 * @property {string} label
 * @property {string} [detail] a second, quieter line
 * @property {'accent' | 'alarm' | 'quiet'} [kind]
 * @property {boolean} [pressed] for controls that stay on
 * @property {boolean} [disabled]
 * @property {boolean} [wide] across both columns
 * @property {Node} [picture] a swatch beside the words
 * @property {() => void} act
 */

export const MOST_MAIN_CONTROLS = 4;

export class Controls {
  /** @param {{main: HTMLElement, others: HTMLElement, panel: HTMLElement}} places */
  constructor({ main, others, panel }) {
    this.places = { main, others };
    this.panel = panel;
    /** @type {Map<string, () => void>} */
    this.acts = new Map();
    /** @type {WeakMap<HTMLElement, string>} what each button shows */
    this.looks = new WeakMap();
  }

  /**
   * Show these and no others.
   * @param {{main?: Control[], others?: Control[], panel?: HTMLElement | null}} shown
   */
  show({ main = [], others = [], panel = null }) {
    if (main.length > MOST_MAIN_CONTROLS) throw new RangeError(`A screen has at most ${MOST_MAIN_CONTROLS} main controls; ${main.length} were given.`);
    this.acts.clear();
    this.place('main', main, 'main-control');
    this.place('others', others, 'other-control');
    if (panel) { if (this.panel.firstChild !== panel || this.panel.childNodes.length !== 1) fill(this.panel, panel); } else fill(this.panel);
  }

  /** @private @param {'main' | 'others'} name @param {Control[]} controls @param {string} size */
  place(name, controls, size) {
    const place = this.places[name];
    const known = new Map([...place.children].map((child) => [/** @type {HTMLElement} */ (child).dataset.control, /** @type {HTMLElement} */ (child)]));
    const buttons = controls.map((control) => this.dress(known.get(control.id) ?? this.button(control.id), control, size));
    const same = buttons.length === place.children.length && buttons.every((button, index) => place.children[index] === button);
    if (!same) fill(place, buttons);
  }

  /** @private @param {string} id */
  button(id) {
    return make('button', { type: 'button', dataset: { control: id }, onclick: () => this.acts.get(id)?.() });
  }

  /** @private @param {HTMLElement} button @param {Control} control @param {string} size */
  dress(button, { id, label, detail, kind, pressed, disabled = false, wide, picture, act }, size) {
    this.acts.set(id, act);
    // With every tapped point the same controls are shown again: what looks the same is left alone.
    const look = JSON.stringify([size, label, detail, kind, pressed, disabled, wide, Boolean(picture)]);
    if (!picture && this.looks.get(button) === look) return button;
    this.looks.set(button, look);
    button.className = ['button', size, kind ? `button-${kind}` : '', wide ? 'is-wide' : ''].filter(Boolean).join(' ');
    fill(button, picture, make('span', {}, label), detail ? make('small', {}, detail) : null);
    if (pressed === undefined) button.removeAttribute('aria-pressed');
    else button.setAttribute('aria-pressed', String(pressed));
    /** @type {HTMLButtonElement} */ (button).disabled = disabled;
    return button;
  }
}
