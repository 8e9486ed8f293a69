/**
 * What is said of the outline under the pen, by buttons? Width and other classes of its term, its edge; condition, urgency,
 * confidence and a note on demand, and only for what is new or changed.
 */
import { choiceRow, textField } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';
import { CONDITIONS, CONFIDENCES, EDGES, URGENCIES, capital } from '../../wall/words.js';

/** @typedef {import('../../wall/draft.js').Draft} Draft */

export class StatementButtons {
  /**
   * @param {object} options
   * @param {import('../../wall/marks.js').TermMarks} options.marks
   * @param {() => void} options.onChange what is said belongs to the draft, and is kept with it
   * @param {() => void} options.onChangeTerm
   */
  constructor({ marks, onChange, onChangeTerm }) {
    this.marks = marks;
    this.onChange = onChange;
    this.onChangeTerm = onChangeTerm;
    this.saysMore = false;
    this.element = make('div', { class: 'deck-statements' });
    this.shown = '';
    /** @type {Draft | null} */
    this.draft = null;
  }

  /** @param {Draft} draft */
  show(draft) {
    // Rows stay as they are while points are drawn, so that a finger never meets another button.
    const key = `${draft.stated.term}:${draft.kind}:${this.saysMore}`;
    if (this.draft === draft && this.shown === key) return;
    this.draft = draft;
    this.shown = key;
    fill(this.element, this.rows(draft));
  }

  /** @private @param {Draft} draft @returns {(HTMLElement | null)[]} */
  rows(draft) {
    if (draft.purpose !== 'outline') return [];
    const classes = this.marks.term(draft.stated.term).measures.filter((measure) => measure.choices?.length).map((measure) => this.classRow(draft, measure));
    // The width of a crack is said with every crack; the classes of an area wait with the rest.
    const isLine = draft.kind === 'line';
    return [
      this.termButton(draft), ...(isLine ? classes : []),
      draft.kind === 'point' ? null : this.row('Edge', EDGES, draft.stated.edge, (value) => this.state('edge', value)),
      ...(this.saysMore ? [...(isLine ? [] : classes), ...this.moreRows(draft)] : []),
    ];
  }

  /** @private @param {Draft} draft */
  termButton({ stated }) {
    const term = this.marks.term(stated.term);
    return make('button', { type: 'button', class: 'button deck-term is-wide', dataset: { term: term.code }, 'aria-label': `${capital(term.name)}. Change the term`, onclick: () => this.onChangeTerm() },
      this.marks.swatch(term.code, 34), make('span', {}, capital(term.name)));
  }

  /** @private @param {Draft} draft @param {{name: string, unit: string, choices?: string[]}} measure */
  classRow(draft, { name, unit, choices = [] }) {
    const label = capital(unit ? `${name} (${unit})` : name);
    return this.row(label, choices.map((value) => ({ value, text: value })), draft.stated.measures?.[name], (value) => {
      const { [name]: _, ...others } = draft.stated.measures ?? {};
      this.state('measures', value === null ? others : { ...others, [name]: value });
    });
  }

  /** @private @param {Draft} draft */
  moreRows(draft) {
    const { stated } = draft;
    return [
      this.row('Condition', CONDITIONS, stated.condition, (value) => this.state('condition', value)),
      this.row('Urgency', URGENCIES, stated.urgency, (value) => this.state('urgency', value)),
      this.row('Confidence', CONFIDENCES, stated.confidence, (value) => this.state('confidence', value)),
      textField({ label: 'Note', value: stated.note ?? '', tall: true, attributes: { maxlength: 2000 }, onChange: (text) => this.state('note', text.trim()) }),
    ];
  }

  /** @private @template V @param {string} label @param {{value: V, text: string}[]} choices @param {V | undefined} value @param {(value: V | null) => void} onChange */
  row(label, choices, value, onChange) {
    const row = choiceRow({ label, choices, value, onChange });
    row.classList.add('deck-choices');
    if (choices.length === 3) row.classList.add('is-three');
    return row;
  }

  /** @private @param {string} key @param {any} value */
  state(key, value) {
    const { draft } = this;
    if (!draft) return;
    if (value === null || value === '') delete draft.stated[key];
    else draft.stated[key] = value;
    this.onChange();
  }

  /** Show condition, urgency, confidence and the note, or leave them out again. */
  toggle() {
    this.saysMore = !this.saysMore;
  }
}
