/**
 * How are hints listed and answered? Each with its strength in words and its size; accepted with a term, dismissed with a
 * reason, or left. It says nothing is on record before the server has said so.
 */
import { answer, button, choiceRow, freshId, textField } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';
import { post } from '../place/asking.js';
import { TermChooser } from './chooser.js';
import { answerWords, errorText, hintSize, leftWords, shownHints, strengthWord } from './words.js';

/** @typedef {import('./words.js').Hint} Hint */

const COMMON_REASONS = ['Light or shade', 'Gloss or reflection', 'Dust or dirt', 'Projected grid or scale bar', 'Treatment on record', 'Drawn already'];

export class HintsPanel {
  /**
   * @param {object} options
   * @param {HTMLElement} options.target
   * @param {any} options.data the page's boot data
   * @param {import('../../wall/marks.js').TermMarks} options.marks
   * @param {(hint: Hint | null) => void} options.onChoose
   * @param {() => void} options.onChange what the map shows has changed
   */
  constructor({ target, data, marks, onChoose, onChange }) {
    this.data = data;
    this.marks = marks;
    this.onChoose = onChoose;
    this.onChange = onChange;
    /** @type {Hint[]} */
    this.hints = data.hints;
    /** @type {string | null} */
    this.chosen = null;
    /** @type {'accept' | 'dismiss' | null} */
    this.answering = null;
    this.withSmaller = false;
    this.isSending = false;
    this.said = make('p', { class: 'said', role: 'status', 'aria-live': 'polite' });
    this.list = make('ol', { class: 'hint-list' });
    this.left = make('p', { class: 'hint-left' });
    fill(target, make('h2', {}, 'Hints of change'), ...this.head(), this.said, this.list);
    this.show();
  }

  /** Hints that the list and the map show. */
  get shown() {
    return shownHints(this.hints, this.withSmaller);
  }

  /** @param {string | null} key */
  choose(key) {
    this.chosen = this.chosen === key ? null : key;
    this.answering = null;
    this.show();
    const hint = this.hints.find((one) => one.key === this.chosen) ?? null;
    this.onChoose(hint);
    if (hint) this.list.querySelector('.is-chosen')?.scrollIntoView({ block: 'nearest' });
  }

  /** @private */
  head() {
    const smaller = this.hints.filter((hint) => hint.below_error).length;
    const box = make('input', { type: 'checkbox', id: freshId('smaller'), onchange: () => { this.withSmaller = box.checked; this.show(); this.onChange(); } });
    const who = this.data.can_record ? null : make('p', { class: 'message-info' }, this.data.survey.is_open ? 'Your role sees hints and does not answer them.' : `Survey ${this.data.survey.code} is closed: its hints can be looked at, not answered.`);
    return [
      make('p', { class: 'hint' }, 'Hints, never findings: nothing enters the record by itself. About a third of faint losses are missed, so a place without a hint may have changed.'),
      make('p', { class: 'hint' }, `Laid on each other to ${errorText(this.data.quality.error_in)}; what that rests on stands below.`), who, this.left,
      smaller ? make('label', { class: 'check', for: box.id }, box, `Show ${smaller === 1 ? 'the one' : `the ${smaller}`} smaller than the error of the laying`) : null,
    ];
  }

  /** @private */
  show() {
    this.left.textContent = leftWords(this.hints, this.data.can_record);
    fill(this.list, this.shown.map((hint) => this.item(hint)));
    this.list.hidden = this.shown.length === 0;
  }

  /** @private @param {Hint} hint */
  item(hint) {
    const isChosen = hint.key === this.chosen;
    const tag = hint.answer?.answer === 'accepted' ? 'tag tag-ok' : 'tag';
    const head = make('button', { type: 'button', class: 'hint-head', 'aria-expanded': String(isChosen), onclick: () => this.choose(hint.key) },
      make('span', { class: 'hint-number' }, hint.number),
      make('span', { class: 'hint-said' }, make('strong', {}, `${strengthWord(hint.strength)} hint`), make('span', {}, hintSize(hint)), hint.below_error ? make('span', { class: 'hint-below' }, 'smaller than the error of the laying') : null),
      make('span', { class: tag }, answerWords(hint)));
    return make('li', { class: `hint-item${isChosen ? ' is-chosen' : ''}`, dataset: { key: hint.key } }, head, isChosen ? this.body(hint) : null);
  }

  /** @private @param {Hint} hint */
  body(hint) {
    return make('div', { class: 'hint-body' }, make('p', { class: 'muted' }, `Colour differs by ${hint.mean_delta_e.toFixed(0)} on the mean (CIEDE2000).`), this.answered(hint), this.data.can_record ? this.ways(hint) : null);
  }

  /** @private @param {Hint} hint */
  answered({ answer }) {
    if (!answer) return null;
    if (answer.answer === 'dismissed') return make('p', {}, `Dismissed by ${answer.by}: ${answer.reason}`);
    const outline = answer.outline;
    if (!outline) return make('p', {}, `Accepted by ${answer.by}; its outline is no longer there.`);
    const withdrawn = outline.standing === 'withdrawn' ? ' The outline was withdrawn since.' : '';
    return make('div', {}, make('p', {}, `Accepted by ${answer.by} as ${outline.item}, ${this.marks.term(outline.term).name}.${withdrawn}`),
      make('p', { class: 'button-row' }, make('a', { class: 'button', href: outline.url }, `See ${outline.item} on survey ${this.data.survey.code}`), make('a', { class: 'button button-quiet', href: outline.item_url }, 'The item’s page')));
  }

  /** @private @param {Hint} hint */
  ways(hint) {
    if (hint.answer?.answer === 'accepted') return null;
    if (this.answering === 'accept') return this.accepting(hint);
    if (this.answering === 'dismiss') return this.dismissing(hint);
    const begin = (/** @type {'accept' | 'dismiss'} */ how) => { this.answering = how; this.show(); /** @type {HTMLElement | null} */ (this.list.querySelector('.hint-form input'))?.focus(); };
    const words = hint.answer ? ['Accept after all', 'Give another reason'] : ['Accept hint', 'Dismiss hint'];
    const leave = hint.answer ? null : button('Leave it', () => this.choose(hint.key), { class: 'button-quiet' });
    return make('div', { class: 'button-row' }, button(words[0], () => begin('accept'), { class: hint.answer ? '' : 'button-accent' }), button(words[1], () => begin('dismiss')), leave);
  }

  /** @private @param {Hint} hint */
  accepting(hint) {
    let note = '';
    /** @type {import('../../wall/marks.js').Term | null} */
    let chosen = null;
    const send = button('Choose a term first', () => { if (chosen) void this.send(hint, 'acceptance', { term: chosen.code, note }); }, { class: 'button-accent', disabled: true });
    const chooser = new TermChooser({ marks: this.marks, searchList: this.data.survey.search_list, onChoose: (term) => { chosen = term; send.disabled = false; send.textContent = `Put down as ${term.name}`; } });
    return make('div', { class: 'hint-form' }, chooser.element, textField({ label: 'Note', value: '', onChange: (text) => { note = text; }, attributes: { maxlength: 1000 } }),
      make('p', { class: 'hint' }, `An observation of survey ${this.data.survey.code} begins with this outline. Its place and shape can be corrected there.`),
      make('div', { class: 'button-row hint-send' }, send, button('Back', () => this.back(), { class: 'button-quiet' })));
  }

  /** @private @param {Hint} hint */
  dismissing(hint) {
    const field = textField({ label: 'Why is it no change?', value: hint.answer?.reason ?? '', onChange: () => {}, attributes: { maxlength: 1000 } });
    const input = /** @type {HTMLInputElement} */ (field.querySelector('input'));
    const error = /** @type {HTMLElement} */ (field.querySelector('.field-error'));
    const needed = (/** @type {string} */ text) => { if (!text.trim()) throw new Error('Say in a few words why the hint is dismissed; nothing was sent.'); };
    // The error goes while one types: if it went when the field is left, the button would move away under the finger.
    input.addEventListener('input', () => { if (input.value.trim()) answer(input, error, needed); });
    const send = () => {
      answer(input, error, needed);
      if (input.value.trim()) void this.send(hint, 'dismissal', { reason: input.value });
      else input.focus();
    };
    const common = choiceRow({ label: 'Common reasons', quiet: true, value: null, choices: COMMON_REASONS.map((text) => ({ value: text, text })), onChange: (text) => { input.value = text ?? ''; if (text) answer(input, error, needed); } });
    return make('div', { class: 'hint-form' }, common, field, make('div', { class: 'button-row hint-send' }, button('Dismiss with this reason', send, { class: 'button-accent' }), button('Back', () => this.back(), { class: 'button-quiet' })));
  }

  /** @private */
  back() {
    this.answering = null;
    this.show();
  }

  /** @private @param {Hint} hint @param {'acceptance' | 'dismissal'} how @param {object} body */
  async send(hint, how, body) {
    if (this.isSending) return;
    this.isSending = true;
    this.say('Sending …', 'info');
    try {
      const { hints } = await post(this.data.urls[how].replace('KEY', hint.key), body);
      this.hints = hints;
      this.answering = null;
      const now = this.hints.find((one) => one.key === hint.key);
      this.show();
      this.onChange();
      this.say(`Hint ${hint.number} is ${now ? answerWords(now) : 'answered'}.`, 'ok');
      /** @type {HTMLElement | null} */ (this.list.querySelector('.is-chosen .hint-head'))?.focus();
    } catch (error) {
      this.say(error instanceof Error ? error.message : String(error), 'error');
    } finally {
      this.isSending = false;
    }
  }

  /** @private @param {string} message @param {'ok' | 'error' | 'info'} kind */
  say(message, kind) {
    this.said.className = `said is-${kind}`;
    this.said.textContent = message;
    this.said.scrollIntoView({ block: 'nearest' });
  }
}
