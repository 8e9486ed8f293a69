/**
 * Which term is meant? Near terms as buttons by layer, all others behind "more", and a search that everyday words lead.
 */
import { choiceRow } from '../shared/controls.js';
import { fill, make } from '../shared/dom.js';
import { searchTerms } from '../shared/terms.js';
import { GEOMETRY_NAMES, LAYER_NAMES, capital, modeName } from './words.js';

/** @typedef {import('./marks.js').Term} Term */

const LAYER_ORDER = ['support', 'plaster', 'paint', 'surface', 'any'];

export class Palette {
  /**
   * @param {object} options
   * @param {HTMLElement} options.modes where the choice of light stands
   * @param {HTMLInputElement} options.search
   * @param {HTMLElement} options.results
   * @param {HTMLElement} options.near
   * @param {HTMLElement} options.more
   * @param {import('./desk.js').Desk} options.desk
   * @param {import('./state.js').Store} options.store
   * @param {import('./marks.js').TermMarks} options.marks
   * @param {any} options.data the page's boot data
   */
  constructor({ modes, search, results, near, more, desk, store, marks, data }) {
    this.desk = desk;
    this.store = store;
    this.marks = marks;
    this.data = data;
    this.near = near;
    this.more = more;
    this.search = search;
    this.results = results;
    store.watch(['mode'], () => this.showModes(modes));
    store.watch(['mode'], () => this.showTerms());
    store.watch(['term', 'tool'], () => this.markChosen());
    search.addEventListener('input', () => this.showResults());
    search.addEventListener('keydown', (event) => this.searchKey(event));
  }

  /** @private @param {HTMLElement} target */
  showModes(target) {
    const choices = this.data.survey.modes.map((/** @type {string} */ mode) => ({ value: mode, text: capital(modeName(mode)) }));
    fill(target, choiceRow({ label: 'Looking in', choices, value: this.store.state.mode, required: true, onChange: (mode) => this.store.set({ mode: mode ?? this.store.state.mode }) }));
  }

  /** Terms of the search list of the mode in use, and those in reach anyway. @private */
  showTerms() {
    const listed = new Set(this.data.survey.search_list?.[this.store.state.mode] ?? []);
    const isNear = (/** @type {Term} */ term) => listed.has(term.code) || (listed.size === 0 && term.near);
    const { terms } = this.marks;
    fill(this.near, this.byLayer(terms.filter(isNear)));
    fill(this.more, this.byLayer(terms.filter((term) => !isNear(term))));
    this.markChosen();
  }

  /** @private @param {Term[]} terms */
  byLayer(terms) {
    return LAYER_ORDER.flatMap((layer) => {
      const group = terms.filter((term) => (LAYER_NAMES[term.layer] ? term.layer : 'any') === layer);
      return group.length ? [make('h3', { class: 'palette-layer' }, LAYER_NAMES[layer]), make('div', { class: 'palette-group' }, group.map((term) => this.termButton(term)))] : [];
    });
  }

  /** @private @param {Term} term @param {string} [note] */
  termButton(term, note) {
    const kinds = term.geometry.map((kind) => GEOMETRY_NAMES[kind] ?? kind).join(' or ');
    return make('button', { type: 'button', class: 'term-button', dataset: { term: term.code }, title: term.definition, onclick: () => this.take(term.code) },
      this.marks.swatch(term.code), make('span', { class: 'term-name' }, capital(term.name), note ? make('small', {}, note) : null), make('span', { class: 'term-kind' }, kinds));
  }

  /** @private @param {string} code */
  take(code) {
    this.search.value = '';
    this.showResults();
    this.desk.takeTerm(code);
  }

  /** @private */
  markChosen() {
    const { term, tool } = this.store.state;
    for (const element of document.querySelectorAll('.term-button')) {
      element.setAttribute('aria-pressed', String(tool === 'draw' && /** @type {HTMLElement} */ (element).dataset.term === term));
    }
  }

  /** @private */
  showResults() {
    const query = this.search.value.trim();
    this.results.hidden = query === '';
    this.near.hidden = query !== '';
    if (!query) return;
    const found = searchTerms(query, this.marks.terms);
    if (found.length === 0) {
      fill(this.results, make('p', { class: 'hint' }, `No term answers to "${query}". Try the everyday word, or look through all terms below.`));
      return;
    }
    fill(this.results, make('p', { class: 'hint' }, found.length === 1 ? 'One term' : `${found.length} terms`), make('div', { class: 'palette-group' }, found.map(({ term, foundBy }) => this.termButton(term, foundBy === term.name ? capital(term.layer) : `${capital(term.layer)}; "${foundBy}"`))));
    this.markChosen();
  }

  /** Enter takes the first term found; Escape empties the search. @private @param {KeyboardEvent} event */
  searchKey(event) {
    if (event.key === 'Escape') {
      this.search.value = '';
      this.showResults();
    }
    if (event.key !== 'Enter') return;
    event.preventDefault();
    const first = /** @type {HTMLElement | null} */ (this.results.querySelector('.term-button'));
    if (first && !this.results.hidden) first.click();
  }
}
