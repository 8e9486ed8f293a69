/**
 * What does the observer sign at the end? What was done and what stays open, the minutes of each cell, lamps, tools and
 * debris; then a name under it, and the session is closed.
 */
import { button, choiceRow, textField } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';
import { capital, modeName } from '../../wall/words.js';
import { currentSession } from '../session.js';
import { knownNames } from './people.js';
import { minutesSentence, minutesText, statedMinutes } from './minutes.js';
import { agrees, recheckSummary } from './recheck.js';
import { roundOf } from './round.js';
import { LEAVING_CHECKS } from './safety.js';
import { endSession } from './session_acts.js';
import { sessionSummary } from './summary.js';

/** @typedef {{checks: string[], note: string, signer: string}} SignForm */

export class SignScreen {
  static title = 'Sign';
  static full = true;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.round = roundOf(deck);
    this.element = make('section', { class: 'deck-screen is-full', 'aria-label': SignScreen.title });
  }

  async enter() {
    this.deck.controls.show({});
    if (!currentSession(this.deck)) return this.deck.go('open');
    await this.round.change({ ...this.round.state, screen: 'sign' });
    return this.show();
  }

  leave() {}

  /** @returns {SignForm} */
  get form() {
    return { checks: [], note: '', signer: this.deck.record.author.observer, ...this.round.state.forms.sign };
  }

  /** @private @param {Partial<SignForm>} change */
  async take(change) {
    await this.round.changeForm('sign', { ...this.form, ...change });
    this.showSigning();
  }

  /** @private */
  show() {
    this.signing = make('div', {});
    fill(this.element, make('h2', {}, 'Sign and close the session'), this.summary(), this.minutes(), this.leaving(), this.signing);
    this.showSigning();
  }

  /** @private */
  session() {
    return /** @type {import('../session.js').Session} */ (currentSession(this.deck));
  }

  /** @private */
  summary() {
    const session = this.session();
    const lines = sessionSummary({ cells: session.cells ?? [], modes: this.deck.record.survey.modes, stateOf: (label, mode) => this.round.stateOf(label, mode), answered: this.round.state.answered, worked: (label, mode) => (this.round.state.times[`${label}:${mode}`]?.looking_ms ?? 0) > 0 });
    const rechecks = this.round.state.recheck?.answers ?? [];
    const apart = rechecks.filter((recheck) => !agrees(recheck)).length;
    const { recheck } = this.round.state;
    const waiting = recheck ? recheck.picks.length - rechecks.length : 0;
    const looked = !recheck ? 'Nothing was looked at again blind yet.' : waiting ? `${waiting} ${waiting === 1 ? 'outline waits' : 'outlines wait'} to be looked at again blind.` : recheckSummary(rechecks);
    return make('section', { class: 'round-part' }, make('p', {}, session.label), make('ul', {}, lines.map((line) => make('li', {}, line))),
      make('p', {}, looked),
      apart ? make('p', { class: 'round-open' }, `${apart} ${apart === 1 ? 'answer differs' : 'answers differ'} at the second look; both stay on record.`) : null,
      !recheck || waiting ? button('Look again first', () => void this.deck.go('recheck'), { id: 'sign-recheck' }) : null);
  }

  /** @private */
  minutes() {
    const { minutes, touch_minutes } = statedMinutes(this.round.times());
    const rows = Object.entries(minutes).map(([cell, value]) => make('tr', {}, make('td', {}, cell), make('td', { class: 'num' }, minutesText(value))));
    return make('section', { class: 'round-part' }, make('h3', {}, 'Minutes'), make('p', { id: 'minutes-sentence' }, minutesSentence(minutes, touch_minutes)),
      rows.length ? make('details', { class: 'more', open: true }, make('summary', {}, 'Minutes of each cell'), make('table', { class: 'data-table round-minutes' }, make('thead', {}, make('tr', {}, make('th', { scope: 'col' }, 'Cell'), make('th', { scope: 'col', class: 'num' }, 'Looked at'))), make('tbody', {}, rows))) : null);
  }

  /** @private */
  leaving() {
    const toggles = LEAVING_CHECKS.map(({ key, text }) => {
      const toggle = make('button', { type: 'button', class: 'button', dataset: { leaving: key }, 'aria-pressed': String(this.form.checks.includes(key)), onclick: () => {
        const checks = this.form.checks.includes(key) ? this.form.checks.filter((one) => one !== key) : [...this.form.checks, key];
        toggle.setAttribute('aria-pressed', String(checks.includes(key)));
        void this.take({ checks });
      } }, text);
      return toggle;
    });
    return make('section', { class: 'round-part' }, make('h3', {}, 'Before the deck is left'), make('p', { class: 'hint' }, 'Sweep only after the debris is photographed where it lies.'), make('div', { class: 'round-leaving' }, toggles));
  }

  /** @private */
  showSigning() {
    const { form } = this;
    const names = [...new Set([form.signer, ...knownNames(this.deck)])].filter(Boolean);
    const open = LEAVING_CHECKS.filter(({ key }) => !form.checks.includes(key)).map(({ text }) => text.toLowerCase());
    const signer = choiceRow({ label: 'Signed by', choices: names.map((name) => ({ value: name, text: name })), value: form.signer, required: true, onChange: (name) => void this.take({ signer: name ?? '' }) });
    const modes = [...new Set(Object.entries(this.round.state.times).filter(([, { looking_ms }]) => looking_ms > 0).map(([key]) => key.slice(key.lastIndexOf(':') + 1)))].map(modeName).join(' and ') || modeName(this.round.mode);
    fill(/** @type {HTMLElement} */ (this.signing), make('section', { class: 'round-part' }, make('h3', {}, 'Signature'), signer,
      make('p', { class: 'round-signed' }, `${form.signer} states: I looked at the cells named above in ${modes}, from the deck, and what is recorded is what I saw. Parts stated as hidden were not seen, and nothing is said of them.`),
      textField({ label: 'Note on the session', value: form.note, attributes: { maxlength: 1000 }, onChange: (text) => void this.take({ note: text }) }),
      open.length ? make('p', { class: 'hint' }, `Goes on record as not confirmed: ${open.join('; ')}.`) : null,
      make('div', { class: 'button-row' }, button(`Sign as ${form.signer}`, () => void this.sign(), { id: 'sign-session', class: 'button-accent round-large' }), button('Back to the walk', () => void this.deck.go('walk')))));
  }

  /** @private */
  async sign() {
    const { form } = this;
    const confirmed = LEAVING_CHECKS.filter(({ key }) => form.checks.includes(key)).map(({ text }) => text);
    const open = LEAVING_CHECKS.filter(({ key }) => !form.checks.includes(key)).map(({ text }) => text.toLowerCase());
    const note = [form.note.trim(), confirmed.length ? `${confirmed.join('. ')}.` : '', open.length ? `Not confirmed: ${open.join('; ')}.` : ''].filter(Boolean).join(' ');
    if (!(await endSession(this.deck, { signed_by: form.signer, note: capital(note) }))) return;
    await this.deck.go('open');
    this.deck.say(`Signed by ${form.signer}. The session is closed and kept on this tablet; it is sent when there is network.`, 'ok');
  }
}
