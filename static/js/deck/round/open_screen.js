/**
 * Who opens the session, and what was checked first? Cautions, the daily check and two names; what is filled in stays on
 * the tablet until the session is open.
 */
import { button, choiceRow, textField } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';
import { currentSession } from '../session.js';
import { peopleFields } from './people.js';
import { roundOf } from './round.js';
import { CHECK_STATES, DAILY_CHECKS, DECK_CAUTIONS, GOVERNING, NO_INSPECTION } from './safety.js';
import { beginSession } from './session_acts.js';

/** @typedef {{state: string, note: string}} Check */
/** @typedef {{read: boolean, observer: string, recorder: string, checks: Record<string, Check>, tag_date: string}} OpenForm */

export class OpenScreen {
  static title = 'Open the session';
  static full = true;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.round = roundOf(deck);
    this.element = make('section', { class: 'deck-screen is-full', 'aria-label': OpenScreen.title });
  }

  enter() {
    this.deck.controls.show({});
    this.show();
  }

  leave() {}

  /** @returns {OpenForm} */
  get form() {
    const { author } = this.deck.record;
    return { read: false, observer: author.observer, recorder: author.recorder, checks: {}, tag_date: '', ...this.round.state.forms.open };
  }

  /** @private @param {Partial<OpenForm>} change */
  async take(change) {
    await this.round.changeForm('open', { ...this.form, ...change });
    this.showOpening();
  }

  /** @private */
  show() {
    const session = currentSession(this.deck);
    if (session) {
      fill(this.element, make('h2', {}, 'A session is open on this tablet'), make('p', {}, `${session.label}. What was chosen in it lies on this tablet.`),
        make('div', { class: 'button-row' }, button('Go on with this session', () => void this.deck.go('walk'), { class: 'button-accent' }), button('Sign and close it', () => void this.deck.go('sign'))));
      return;
    }
    this.opening = make('div', {});
    fill(this.element, make('h2', {}, `Open a session of survey ${this.deck.record.survey.code}`), this.cautions(), this.checks(), this.people(), this.opening);
    this.showOpening();
  }

  /** @private */
  cautions() {
    const read = make('button', { type: 'button', class: 'button', id: 'cautions-read', 'aria-pressed': String(this.form.read), onclick: () => {
      const now = read.getAttribute('aria-pressed') !== 'true';
      read.setAttribute('aria-pressed', String(now));
      void this.take({ read: now });
    } }, 'Both of us have read the cautions');
    return make('section', { class: 'round-part' }, make('h3', {}, 'Before work on the deck'), make('p', { class: 'round-governing' }, GOVERNING),
      make('div', { class: 'round-cautions' }, DECK_CAUTIONS.map(({ heading, sentences }) => make('div', {}, make('h4', {}, heading), sentences.map((sentence) => make('p', {}, sentence))))), read);
  }

  /** @private */
  checks() {
    return make('section', { class: 'round-part' }, make('h3', {}, 'Daily check'), make('p', { class: 'hint' }, NO_INSPECTION), DAILY_CHECKS.map((check) => this.checkRow(check)));
  }

  /** @private @param {typeof DAILY_CHECKS[number]} check */
  checkRow({ what, name, ask }) {
    const more = make('div', {});
    const choose = choiceRow({ label: `${name}: ${ask}`, choices: CHECK_STATES, value: /** @type {any} */ (this.form.checks[what]?.state ?? null), onChange: (state) => {
      void this.takeCheck(what, state ? { state, note: this.form.checks[what]?.note ?? '' } : null).then(() => this.showMore(what, name, more));
    } });
    choose.dataset.check = what;
    this.showMore(what, name, more);
    return make('div', { class: 'round-check' }, choose, more);
  }

  /** What is asked beside the state: the tag's date, and what is not in order. @private @param {string} what @param {string} name @param {HTMLElement} place */
  showMore(what, name, place) {
    const check = this.form.checks[what];
    const date = what === 'scaffold-tag' && check?.state === 'in-order' ? textField({ label: 'Date on the tag', value: this.form.tag_date, attributes: { type: 'date' }, onChange: (text) => void this.take({ tag_date: text }) }) : null;
    const note = check?.state === 'not-in-order' ? textField({ label: `${name}: what is not in order, and who was told`, value: check.note, attributes: { maxlength: 1000 }, onChange: (text) => void this.takeCheck(what, { ...check, note: text }) }) : null;
    fill(place, date, note);
  }

  /** @private @param {string} what @param {Check | null} check */
  takeCheck(what, check) {
    const { [what]: _, ...others } = this.form.checks;
    return this.take({ checks: check ? { ...others, [what]: check } : others });
  }

  /** @private */
  people() {
    return make('section', { class: 'round-part' }, make('h3', {}, 'Who works here'),
      peopleFields({ deck: this.deck, people: this.form, onChange: (people) => void this.take(people) }));
  }

  /** What is missing, what is not in order, and the button. @private */
  showOpening() {
    const { form } = this;
    const missing = [form.read ? '' : 'The cautions are not marked as read.', form.observer.trim() ? '' : 'Nobody is named as observer.'].filter(Boolean);
    const unchecked = DAILY_CHECKS.filter(({ what }) => !form.checks[what]).map(({ name }) => name.toLowerCase());
    const wrong = DAILY_CHECKS.filter(({ what }) => form.checks[what]?.state === 'not-in-order').map(({ name }) => name.toLowerCase());
    fill(/** @type {HTMLElement} */ (this.opening),
      wrong.length ? make('p', { class: 'message-error' }, `Not in order: ${wrong.join(', ')}. Report it before anyone works here; the stop card has the numbers.`) : null,
      unchecked.length ? make('p', { class: 'hint' }, `Goes on record as not checked: ${unchecked.join(', ')}.`) : null,
      missing.length ? make('p', { class: 'hint' }, missing.join(' ')) : null,
      make('div', { class: 'button-row' }, button('Open the session', () => void this.open(), { id: 'open-session', class: 'button-accent round-large', disabled: missing.length > 0 })));
  }

  /** @private */
  async open() {
    const { form } = this;
    const checks = Object.fromEntries(DAILY_CHECKS.map(({ what }) => [what, form.checks[what] ?? { state: 'not-checked', note: '' }]));
    const people = { observer: form.observer.trim(), recorder: form.recorder.trim() || form.observer.trim() };
    if (await beginSession(this.deck, { people, checks, tag_date: form.tag_date })) await this.deck.go('walk');
  }
}
