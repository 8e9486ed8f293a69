/**
 * What is stated about the outline under the pen? The form of its term's measures, condition, urgency, activity,
 * confidence, edge and note; nothing is filled in beforehand.
 */
import { choiceRow, freshId, textField } from '../shared/controls.js';
import { fill, make } from '../shared/dom.js';
import { parseLengthIn } from '../shared/lengths.js';
import { PointsEditor, typedLength } from './points.js';
import { ACTIVITIES, BASIS_NAMES, CONDITIONS, CONFIDENCES, EDGES, URGENCIES, capital, inMode, modeName } from './words.js';

/** @typedef {import('./draft.js').Draft} Draft */

const MEASURE_LIMIT = 1e6;

export class DraftForm {
  /**
   * @param {object} options
   * @param {HTMLElement} options.target
   * @param {Draft} options.draft
   * @param {import('./plan.js').WallPlan} options.plan
   * @param {import('./marks.js').TermMarks} options.marks
   * @param {import('./record.js').SurveyRecord} options.record
   * @param {string} options.cell
   * @param {boolean} options.typed whether the points come first
   */
  constructor({ target, draft, plan, marks, record, cell, typed }) {
    this.draft = draft;
    this.term = marks.term(draft.stated.term);
    this.record = record;
    const points = make('div', {});
    this.points = new PointsEditor({ target: points, plan, draft, cell });
    const pointsBox = make('details', { class: 'more', open: typed }, make('summary', {}, 'Points in feet and inches'), points);
    fill(target, this.head(marks), typed ? pointsBox : null, this.modeHint(), this.measures(), this.judgements(), this.activity(), this.words(), typed ? null : pointsBox, this.origins());
  }

  /** Bring what depends on the draft's shape up to date. */
  show() {
    this.points.show();
  }

  /** @private @param {import('./marks.js').TermMarks} marks */
  head(marks) {
    const { stated } = this.draft;
    const told = this.term.confusions.slice(0, 2).map((confusion) => `${capital(confusion.with)}: ${confusion.told_by}.`).join(' ');
    return make('div', { class: 'side-head' }, marks.swatch(this.term.code, 34),
      make('div', {}, make('h2', {}, stated.item ? `${stated.item}: ${this.term.name}` : `New outline: ${this.term.name}`), make('p', { class: 'muted' }, `${capital(BASIS_NAMES[stated.basis] ?? stated.basis)}, ${inMode(stated.mode)}.`)),
      make('details', { class: 'more' }, make('summary', {}, 'What the term means'), make('p', {}, this.term.definition), told ? make('p', {}, told) : null));
  }

  /** @private */
  modeHint() {
    const { stated } = this.draft;
    if (this.term.modes.includes(stated.mode) || !this.term.modes.length) return null;
    return make('p', { class: 'message-warn' }, `${capital(this.term.name)} is told ${this.term.modes.map(inMode).join(' or ')}; this is stated in ${modeName(stated.mode)}. A comparison uses it only where the mode it needs looked too.`);
  }

  /** @private */
  measures() {
    const fields = this.term.measures.map((measure) => (measure.choices?.length ? this.choiceMeasure(measure) : this.typedMeasure(measure)));
    return fields.length ? make('div', {}, fields) : null;
  }

  /** @private @param {{name: string, unit: string, choices?: string[]}} measure */
  choiceMeasure(measure) {
    const choices = (measure.choices ?? []).map((value) => ({ value, text: value }));
    return choiceRow({ label: measureLabel(measure), choices, value: this.draft.stated.measures?.[measure.name], onChange: (value) => this.setMeasure(measure.name, value) });
  }

  /** @private @param {{name: string, unit: string, type?: string}} measure */
  typedMeasure(measure) {
    const numeric = measure.type === 'number';
    return textField({
      label: measureLabel(measure), value: String(this.draft.stated.measures?.[measure.name] ?? ''), attributes: numeric ? { inputmode: 'decimal' } : { maxlength: 200 },
      onChange: (text) => this.setMeasure(measure.name, numeric ? numberOf(text, measure) : text.trim() || null),
    });
  }

  /** @private @param {string} name @param {string | number | null} value */
  setMeasure(name, value) {
    const measures = { ...this.draft.stated.measures };
    if (value === null || value === '') delete measures[name];
    else measures[name] = value;
    this.draft.stated.measures = measures;
  }

  /** @private */
  judgements() {
    const { stated } = this.draft;
    const set = (/** @type {string} */ key) => (/** @type {any} */ value) => { stated[key] = value; };
    const urgencyHint = this.term.urgency_hint ? `Usual for this term: ${this.term.urgency_hint}. A hint, not filled in.` : undefined;
    return make('div', {},
      choiceRow({ label: 'Condition', choices: CONDITIONS, value: stated.condition, onChange: set('condition') }),
      choiceRow({ label: 'Urgency', choices: URGENCIES, value: stated.urgency, onChange: set('urgency'), hint: urgencyHint }),
      choiceRow({ label: 'Confidence', choices: CONFIDENCES, value: stated.confidence, onChange: set('confidence') }),
      this.draft.kind === 'point' ? null : choiceRow({ label: 'Edge', choices: EDGES, value: stated.edge, onChange: set('edge') }));
  }

  /** @private */
  activity() {
    const { stated } = this.draft;
    const set = (/** @type {string} */ key, /** @type {any} */ value) => {
      const activity = { ...stated.activity, [key]: value };
      if (!value) delete activity[key];
      stated.activity = activity.state ? activity : null;
    };
    const dates = make('div', { class: 'date-pair', hidden: !stated.activity?.state }, dateField('Between', stated.activity?.from, (value) => set('from', value)), dateField('and', stated.activity?.to, (value) => set('to', value)));
    const row = choiceRow({ label: 'Activity', choices: ACTIVITIES, value: stated.activity?.state, onChange: (value) => { set('state', value); dates.hidden = !value; } });
    return make('div', {}, row, dates);
  }

  /** @private */
  words() {
    const { stated } = this.draft;
    return make('div', {},
      textField({ label: 'Note', value: stated.note ?? '', tall: true, attributes: { maxlength: 2000 }, onChange: (text) => { stated.note = text.trim(); } }),
      textField({ label: 'Debris below', value: stated.debris ?? '', attributes: { maxlength: 300 }, onChange: (text) => { stated.debris = text.trim(); } }));
  }

  /** @private */
  origins() {
    const { stated } = this.draft;
    return make('details', { class: 'more' }, make('summary', {}, 'Item, date, observer, boundary error'),
      textField({ label: 'Item', value: stated.item, attributes: { maxlength: 40 }, hint: 'The name by which this place is followed from survey to survey. Empty: its cell and the next number.', onChange: (text) => { stated.item = text.trim(); } }),
      dateField('Observed on', stated.observed_on ?? this.record.today(), (value) => { stated.observed_on = value || this.record.today(); }),
      textField({ label: 'Observed by', value: this.record.observer, attributes: { maxlength: 80 }, hint: 'Stays until changed. Where another person looks and calls out, name that person.', onChange: (text) => { this.record.observer = required(text, 'Observed by'); } }),
      textField({
        label: 'Boundary error', value: stated.boundary_error_in ? typedLength(stated.boundary_error_in) : '', hint: 'How far the drawn line may lie from the true edge, from a redraw trial. Empty: as agreed for the survey.',
        onChange: (text) => {
          stated.boundary_error_in = text.trim() ? boundaryError(text) : null;
          stated.boundary_error_source = text.trim() ? 'stated' : null;
        },
      }));
  }
}

/** @param {{name: string, unit: string}} measure */
function measureLabel(measure) {
  return measure.unit ? `${capital(measure.name)} (${measure.unit})` : capital(measure.name);
}

/** @param {string} text @param {{name: string, unit: string}} measure @returns {number | null} */
function numberOf(text, measure) {
  const written = text.trim().replace(',', '.');
  if (!written) return null;
  const value = Number(written);
  if (!Number.isFinite(value) || Math.abs(value) > MEASURE_LIMIT) throw new Error(`${measureLabel(measure)}: "${text}" is not a number up to ${MEASURE_LIMIT.toLocaleString('en')}. Write digits only, such as 2.5.`);
  return value;
}

/** @param {string} text @param {string} name */
function required(text, name) {
  if (!text.trim()) throw new Error(`${name}: may not be empty. The former name stays until one is given.`);
  return text.trim();
}

/** @param {string} text */
function boundaryError(text) {
  const error_in = parseLengthIn(text, { field: 'Boundary error', minimumIn: 0 });
  if (error_in > 12) throw new Error('Boundary error: more than 1 ft is no outline. Give the usual distance between two drawings of the same edge.');
  return error_in;
}

/** @param {string} label @param {string | undefined} value @param {(value: string) => void} onChange */
export function dateField(label, value, onChange) {
  const id = freshId('date');
  const input = make('input', { type: 'date', id, onchange: () => onChange(input.value) });
  input.value = value ?? '';
  return make('div', { class: 'field' }, make('label', { for: id }, label), input);
}
