/**
 * Whom can one ring about this wall, and how is it written down that somebody was told?
 */
import { button } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';
import { liveText, minuteChooser } from './form_parts.js';

/** @typedef {{name: string, role?: string, number: string}} Telephone */
/** @typedef {{who: string, number: string, at_ms: number, said: string}} CallForm */

export class Telephones {
  /**
   * @param {object} options
   * @param {Telephone[]} options.telephones
   * @param {() => number} options.now_ms
   * @param {(call: CallForm) => Promise<boolean>} options.onTold whether it was taken
   */
  constructor({ telephones, now_ms, onTold }) {
    this.telephones = telephones;
    this.now_ms = now_ms;
    this.onTold = onTold;
    this.form = make('div', { class: 'call-form' });
    this.error = make('p', { class: 'field-error', role: 'alert' });
    this.element = make('div', {}, this.list(), button('I told someone else', () => this.ask({ who: '', number: '' })), this.form);
  }

  /** @private */
  list() {
    if (!this.telephones.length) {
      return make('p', { class: 'message-warn' }, 'This wall has no telephone numbers on this tablet. Ring the number on the scaffold tag or the site board, and log below whom you rang. The lead conservator adds numbers on the wall\'s set-up page.');
    }
    return make('ul', { class: 'telephone-list' }, this.telephones.map((telephone) => this.row(telephone)));
  }

  /** @private @param {Telephone} telephone */
  row({ name, role, number }) {
    return make('li', {},
      make('a', { class: 'button telephone', href: `tel:${number.replace(/[^+\d*#]/g, '')}` }, make('span', {}, name, role ? make('small', {}, ` ${role}`) : null), make('strong', {}, number)),
      button('I rang them', () => this.ask({ who: role ? `${name}, ${role}` : name, number }), { 'aria-label': `I rang them: ${name}` }));
  }

  /** @private @param {{who: string, number: string}} known */
  ask({ who, number }) {
    const call = { who, number, said: '', at_ms: this.now_ms() };
    this.error.textContent = '';
    fill(this.form,
      make('h4', {}, 'Whom you told'),
      liveText({ label: 'Name', value: who, onInput: (text) => { call.who = text; }, attributes: { maxlength: 150 } }),
      liveText({ label: 'Number rung', value: number, onInput: (text) => { call.number = text; }, attributes: { maxlength: 40, inputmode: 'tel' } }),
      minuteChooser({ label: 'Minute', at_ms: call.at_ms, now_ms: this.now_ms, onChange: (at_ms) => { call.at_ms = at_ms; } }),
      liveText({ label: 'What was said', value: '', tall: true, onInput: (text) => { call.said = text; }, attributes: { maxlength: 2000 } }),
      this.error,
      make('div', { class: 'button-row' }, button('Log this call', () => void this.take(call), { class: 'button-accent' }), button('Put this aside', () => fill(this.form))));
    this.form.scrollIntoView({ block: 'nearest' });
  }

  /** @private @param {CallForm} call */
  async take(call) {
    try {
      if (await this.onTold(call)) fill(this.form);
    } catch (error) {
      this.error.textContent = error instanceof Error ? error.message : String(error);
    }
  }
}
