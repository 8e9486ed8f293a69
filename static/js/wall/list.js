/**
 * Which outlines are there, without looking at the map? A table that chooses, changes, withdraws and adds by keyboard,
 * for the chosen cell or the whole wall, of this survey or of the last one.
 */
import { button, choiceRow } from '../shared/controls.js';
import { fill, make } from '../shared/dom.js';
import { equipTable, keepSorted } from '../shared/tables.js';
import { CONDITIONS, GEOMETRY_NAMES, capital, sizeNumber, sizeText } from './words.js';

/** @typedef {import('./statements.js').Outline} Outline */

const ROWS_AT_ONCE = 300;

export class OutlineList {
  /**
   * @param {object} options
   * @param {HTMLElement} options.target
   * @param {import('./desk.js').Desk} options.desk
   * @param {import('./outline_panel.js').OutlinePanel} options.panel
   * @param {any} options.data
   */
  constructor({ target, desk, panel, data }) {
    this.desk = desk;
    this.panel = panel;
    /** @type {'cell' | 'wall'} */
    this.reach = 'cell';
    /** @type {'own' | 'previous'} */
    this.layer = 'own';
    this.all = false;
    this.body = make('tbody', {});
    this.more = make('div', {});
    this.heading = make('h2', {});
    this.build(target, data);
    desk.store.watch(['cell', 'recordStep', 'tab'], () => this.show());
    desk.store.watch(['chosen'], () => this.mark());
  }

  /** @private @param {HTMLElement} target @param {any} data */
  build(target, data) {
    const reach = choiceRow({ label: 'Show', quiet: true, value: this.reach, required: true, choices: [{ value: 'cell', text: 'This cell' }, { value: 'wall', text: 'Whole wall' }], onChange: (value) => { this.reach = /** @type {any} */ (value); this.all = false; this.show(); } });
    const layers = data.previous ? choiceRow({ label: 'Of survey', quiet: true, value: this.layer, required: true, choices: [{ value: 'own', text: data.survey.code }, { value: 'previous', text: `${data.previous.code}, to answer` }], onChange: (value) => { this.layer = /** @type {any} */ (value); this.all = false; this.show(); } }) : null;
    this.table = make('table', { class: 'data-table outline-table', dataset: { csvName: `outlines-${data.survey.code}` } },
      make('thead', {}, make('tr', {}, ...['Item', 'Term', 'Cells'].map((name) => make('th', { scope: 'col' }, name)), make('th', { scope: 'col', class: 'num' }, 'Size'), make('th', { scope: 'col', class: 'num', title: 'Condition, 0 no sign to 3 severe' }, 'Cond.'))), this.body);
    fill(target, this.heading, make('div', { class: 'list-choices' }, reach, layers), make('div', { class: 'table-frame' }, this.table), this.more, this.desk.canRecord ? this.adder() : null);
    equipTable(this.table);
  }

  /** @private */
  show() {
    const { state } = this.desk.store;
    if (state.tab !== 'list') return;
    const outlines = this.outlines(state.cell);
    const where = this.reach === 'cell' ? `in ${state.cell}` : 'on the whole wall';
    this.heading.textContent = `${outlines.length} ${outlines.length === 1 ? 'outline' : 'outlines'} ${where}`;
    const shown = this.all ? outlines : outlines.slice(0, ROWS_AT_ONCE);
    fill(this.body, shown.length ? shown.map((outline) => this.row(outline)) : make('tr', {}, make('td', { colspan: 5, class: 'muted' }, `No outline ${where}. Add one below, or take a term and draw.`)));
    fill(this.more, outlines.length > shown.length ? button(`Show all ${outlines.length} rows`, () => { this.all = true; this.show(); }) : null);
    keepSorted(this.table ?? make('table'));
    this.mark();
  }

  /** @private @param {string} cell @returns {Outline[]} */
  outlines(cell) {
    const { record, notFound } = this.desk;
    const all = this.layer === 'own' ? [...record.outlines.values()] : record.openPrevious().filter((outline) => !notFound.has(outline.id));
    return this.reach === 'cell' ? all.filter((outline) => outline.cells.includes(cell)) : all;
  }

  /** @private @param {Outline} outline */
  row(outline) {
    const { marks } = this.desk;
    const term = marks.term(outline.term);
    const condition = CONDITIONS.find(({ value }) => value === outline.condition);
    return make('tr', { dataset: { id: outline.id } },
      make('td', {}, make('button', { type: 'button', class: 'link-button', onclick: () => this.open(outline) }, outline.item)),
      make('td', {}, make('span', { class: 'term-cell' }, marks.swatch(outline.term, 18), term.name)),
      make('td', { title: outline.cells.join(', '), dataset: { csv: outline.cells.join(' ') } }, outline.cells.length > 2 ? `${outline.cells[0]}, ${outline.cells.length - 1} more` : outline.cells.join(', ')),
      make('td', { class: 'num', dataset: { sort: String(sizeNumber(outline)) } }, outline.pending ? `${sizeText(outline)}, saving` : sizeText(outline)),
      make('td', { class: 'num', title: condition?.text }, condition ? String(condition.value) : ''));
  }

  /** @private @param {Outline} outline */
  open(outline) {
    const { store, plan } = this.desk;
    if (!outline.cells.includes(store.state.cell) && plan.labels.includes(outline.cells[0])) this.desk.chooseCell(outline.cells[0]);
    this.desk.choose({ layer: this.layer, id: outline.id });
    document.getElementById('panel-outline')?.focus();
  }

  /** @private */
  mark() {
    const id = this.desk.store.state.chosen?.id;
    for (const row of this.body.rows) {
      if (id && row.dataset.id === id) row.setAttribute('aria-selected', 'true');
      else row.removeAttribute('aria-selected');
    }
  }

  /** Begin an outline whose points are typed. @private */
  adder() {
    const { marks } = this.desk;
    const options = marks.terms.flatMap((term) => term.geometry.map((kind) => make('option', { value: `${term.code}|${kind}` }, `${capital(term.name)}, ${GEOMETRY_NAMES[kind] ?? kind}`)));
    const select = make('select', { class: 'input', id: 'typed-term' }, options);
    const begin = () => {
      const [code, kind] = select.value.split('|');
      this.panel.typed = true;
      this.desk.beginOutline(code, /** @type {any} */ (kind));
      document.getElementById('panel-outline')?.focus();
    };
    return make('div', { class: 'list-adder' }, make('div', { class: 'field' }, make('label', { for: 'typed-term' }, 'Add an outline by typing its points'), select), button('Type its points', begin));
  }
}
