/**
 * What stands in the side panel about outlines: the draft's form, the chosen outline, or what this cell still asks?
 */
import { button, textField } from '../shared/controls.js';
import { fill, make } from '../shared/dom.js';
import { DraftForm } from './draft_form.js';
import { BASIS_NAMES, CONDITIONS, URGENCIES, capital, dateText, errorText, inMode, sizeText } from './words.js';
import { formatFeetInches } from '../shared/lengths.js';

/** @typedef {import('./statements.js').Outline} Outline */

export class OutlinePanel {
  /**
   * @param {object} options
   * @param {HTMLElement} options.target
   * @param {import('./desk.js').Desk} options.desk
   * @param {any} options.data
   */
  constructor({ target, desk, data }) {
    this.target = target;
    this.desk = desk;
    this.data = data;
    /** @type {DraftForm | null} */
    this.form = null;
    /** Whether the next draft is typed rather than drawn. */
    this.typed = false;
    this.shown = '';
    /** @type {WeakMap<object, number>} */
    this.numbers = new WeakMap();
    this.drafts = 0;
    desk.store.watch(['draft', 'draftStep', 'chosen', 'cell', 'recordStep'], (state) => this.show(state));
  }

  /** @private @param {import('./state.js').PageState} state */
  show({ draft, chosen, cell }) {
    if (draft?.purpose === 'outline') {
      const key = `${this.draftNumber(draft)}:${draft.stated.term}`;
      if (this.shown === key) this.form?.show();
      else this.showDraft(draft, cell);
      this.shown = key;
      return;
    }
    this.form = null;
    this.shown = '';
    const { record } = this.desk;
    const outline = chosen ? (chosen.layer === 'own' ? record.outlines : record.previous).get(chosen.id) : null;
    if (outline && chosen) fill(this.target, chosen.layer === 'own' ? this.ownView(outline) : this.previousView(outline));
    else fill(this.target, this.emptyView(cell));
  }

  /** @private @param {import('./draft.js').Draft} draft */
  draftNumber(draft) {
    if (!this.numbers.has(draft)) this.numbers.set(draft, this.drafts += 1);
    return this.numbers.get(draft);
  }

  /** @private @param {import('./draft.js').Draft} draft @param {string} cell */
  showDraft(draft, cell) {
    const { plan, marks, record } = this.desk;
    this.form = new DraftForm({ target: this.target, draft, plan, marks, record, cell, typed: this.typed });
    this.typed = false;
  }

  /** @private @param {Outline} outline */
  ownView(outline) {
    const reason = { text: '' };
    const actions = this.desk.canRecord ? [
      make('div', { class: 'button-row' }, button('Change outline or statements', () => this.desk.beginCorrection(outline.id), { class: 'button-accent' })),
      make('details', { class: 'more' }, make('summary', {}, 'Withdraw this outline'),
        make('p', { class: 'hint' }, 'The outline stays in the record, marked withdrawn, with this reason.'),
        textField({ label: 'Reason', value: '', attributes: { maxlength: 500 }, onChange: (text) => { reason.text = text; } }),
        button(`Withdraw ${outline.item}`, () => void this.desk.withdraw(outline.id, reason.text), { class: 'button-alarm' })),
    ] : [];
    return [this.head(outline, capital(BASIS_NAMES[outline.basis] ?? outline.basis)), outline.conflict ? make('p', { class: 'message-error' }, 'In conflict: two statements about this outline stand side by side. It counts in no total until a person decides.') : null, this.facts(outline), ...actions, this.decideLink(outline), this.close()];
  }

  /** @private @param {Outline} outline */
  previousView(outline) {
    const { desk } = this;
    const actions = desk.canRecord ? make('div', { class: 'answer-grid' },
      button('Seen, no change visible', () => void desk.seenNoChange(outline.id), { class: 'button-accent' }),
      button('Edit a copy', () => desk.beginCopy(outline.id)),
      button('Not found', () => desk.leaveNotFound(outline.id)),
      button('Cannot be seen', () => desk.onCannotSee?.(outline))) : null;
    return [this.head(outline, `In survey ${this.data.previous?.code ?? ''}, not yet answered here`), actions, this.facts(outline), this.close()];
  }

  /** @private @param {Outline} outline @param {string} line */
  head(outline, line) {
    const { marks } = this.desk;
    return make('div', { class: 'side-head' }, marks.swatch(outline.term, 34), make('div', {}, make('h2', {}, `${outline.item}: ${marks.term(outline.term).name}`), make('p', { class: 'muted' }, `${line}.`)));
  }

  /** @private @param {Outline} outline */
  facts(outline) {
    const activity = outline.activity?.state ? `${outline.activity.state}${outline.activity.from ? `, between ${dateText(outline.activity.from)} and ${dateText(outline.activity.to) || 'now'}` : ''}` : '';
    const measures = Object.entries(outline.measures ?? {}).map(([name, value]) => {
      const unit = this.desk.marks.term(outline.term).measures.find((measure) => measure.name === name)?.unit;
      return [capital(name), `${value}${unit ? ` ${unit}` : ''}`];
    });
    const rows = [
      ['Size', sizeText(outline)], ['Perimeter', outline.perimeter_in ? formatFeetInches(outline.perimeter_in) : ''], ['Cells', outline.cells.join(', ')], ['Seen', capital(inMode(outline.mode))],
      ['Condition', textOf(CONDITIONS, outline.condition)], ['Urgency', textOf(URGENCIES, outline.urgency)], ['Confidence', outline.confidence], ['Edge', outline.edge], ['Error', errorText(outline)], ['Activity', activity], ...measures,
      ['Note', outline.note], ['Debris below', outline.debris], ['Observed', [dateText(outline.observed_on), outline.observed_by].filter(Boolean).join(', ')],
    ];
    return make('dl', { class: 'facts' }, rows.filter(([, value]) => value).flatMap(([name, value]) => [make('dt', {}, name), make('dd', {}, value)]));
  }

  /** Leads to the page where it is decided to leave, watch, treat or investigate. @private @param {Outline} outline */
  decideLink(outline) {
    if (!this.data.account.can_decide || !this.data.urls.decide || outline.pending) return null;
    return make('p', {}, make('a', { href: this.data.urls.decide.replace('ITEM', outline.id) }, `Decide what is done about ${outline.item}`));
  }

  /** @private */
  close() {
    return make('div', { class: 'button-row' }, button('Leave this outline', () => this.desk.choose(null), { class: 'button-quiet' }));
  }

  /** What this cell still asks: last survey's outlines without an answer. @private @param {string} cell */
  emptyView(cell) {
    const { desk, data } = this;
    const open = desk.record.openPrevious().filter((outline) => outline.cells.includes(cell) && !desk.notFound.has(outline.id));
    const here = [...desk.record.outlines.values()].filter((outline) => outline.cells.includes(cell)).length;
    const count = make('p', { class: 'muted' }, here ? `${here} ${here === 1 ? 'outline' : 'outlines'} of this survey in ${cell}.` : `Nothing is drawn in ${cell} in this survey yet.`);
    if (!data.previous) return [make('h2', {}, `Cell ${cell}`), count, make('p', {}, desk.canRecord ? 'No earlier survey has outlines to answer. Take a term on the left and draw what is found.' : desk.readingOnly)];
    if (!open.length) return [make('h2', {}, `Cell ${cell}`), count, make('p', {}, `No outline of survey ${data.previous.code} waits for an answer here.`)];
    return [make('h2', {}, `Survey ${data.previous.code} in ${cell}: ${open.length} to answer`), count, make('ul', { class: 'answer-list' }, open.slice(0, 60).map((outline) => this.answerRow(outline)))];
  }

  /** @private @param {Outline} outline */
  answerRow(outline) {
    const { desk } = this;
    return make('li', {}, desk.marks.swatch(outline.term), make('button', { type: 'button', class: 'link-button', onclick: () => desk.choose({ layer: 'previous', id: outline.id }) }, `${outline.item}: ${desk.marks.term(outline.term).name}`, make('small', {}, sizeText(outline))),
      desk.canRecord ? button('No change visible', () => void desk.seenNoChange(outline.id), { 'aria-label': `${outline.item}: seen, no change visible` }) : null);
  }
}

/** @param {{value: number, text: string}[]} choices @param {number | undefined | null} value */
function textOf(choices, value) {
  return choices.find((choice) => choice.value === value)?.text ?? '';
}
