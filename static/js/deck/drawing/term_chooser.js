/**
 * Which term is meant, with a gloved finger? About ten in reach, those of the search list first; all others behind one
 * control, by layer and by search.
 */
import { fill, make } from '../../shared/dom.js';
import { searchTerms } from '../../shared/terms.js';
import { LAYER_NAMES, capital } from '../../wall/words.js';

/** @typedef {import('../../wall/marks.js').Term} Term */

export const TERMS_IN_REACH = 10;
const LAYER_ORDER = ['support', 'plaster', 'paint', 'surface', 'any'];

/**
 * The terms in reach: those that this survey looks for in this light, then the near ones.
 * @param {Term[]} terms
 * @param {string[]} listed codes of the search list
 * @returns {Term[]}
 */
export function termsInReach(terms, listed) {
  const byCode = new Map(terms.map((term) => [term.code, term]));
  const first = listed.map((code) => byCode.get(code)).filter((term) => term !== undefined);
  const near = terms.filter((term) => term.near && !first.includes(term));
  return [...first, ...near].slice(0, TERMS_IN_REACH);
}

export class TermChooser {
  /**
   * @param {object} options
   * @param {import('../../wall/marks.js').TermMarks} options.marks
   * @param {(code: string) => void} options.onTake
   */
  constructor({ marks, onTake }) {
    this.marks = marks;
    this.onTake = onTake;
    this.showsAll = false;
    this.element = make('div', { class: 'deck-terms' });
    this.results = make('div', { class: 'deck-term-results' });
    this.search = make('input', { type: 'search', class: 'input deck-term-search', placeholder: 'Search a term', 'aria-label': 'Search a term, also by its everyday word', autocomplete: 'off', oninput: () => this.showAll() });
  }

  /** @param {{listed: string[], chosen: string | null}} state */
  show({ listed, chosen }) {
    this.chosen = chosen;
    this.listed = listed;
    if (this.showsAll) this.showAll();
    else this.showNear();
  }

  /** @private */
  showNear() {
    const near = termsInReach(this.marks.terms, this.listed ?? []);
    const rest = this.marks.terms.length - near.length;
    fill(this.element, make('div', { class: 'deck-term-grid' }, near.map((term) => this.termButton(term))),
      rest > 0 ? make('button', { type: 'button', class: 'button deck-more-terms', onclick: () => this.toggle(true) }, `More terms (${rest})`) : null);
  }

  /** @private */
  showAll() {
    const query = this.search.value.trim();
    if (this.element.firstChild !== this.search) fill(this.element, this.search, make('button', { type: 'button', class: 'button deck-more-terms', onclick: () => this.toggle(false) }, 'Terms in reach'), this.results);
    fill(this.results, query ? this.found(query) : this.byLayer());
  }

  /** @private @param {string} query */
  found(query) {
    const found = searchTerms(query, this.marks.terms);
    if (!found.length) return make('p', { class: 'hint' }, `No term answers to "${query}". Try the everyday word.`);
    return make('div', { class: 'deck-term-grid' }, found.map(({ term }) => this.termButton(term)));
  }

  /** @private */
  byLayer() {
    return LAYER_ORDER.flatMap((layer) => {
      const group = this.marks.terms.filter((term) => (LAYER_NAMES[term.layer] ? term.layer : 'any') === layer);
      return group.length ? [make('h3', { class: 'deck-layer' }, LAYER_NAMES[layer]), make('div', { class: 'deck-term-grid' }, group.map((term) => this.termButton(term)))] : [];
    });
  }

  /** @private @param {boolean} all */
  toggle(all) {
    this.showsAll = all;
    if (all) this.showAll();
    else this.showNear();
  }

  /** @private @param {Term} term */
  termButton(term) {
    return make('button', { type: 'button', class: 'button deck-term', dataset: { term: term.code }, 'aria-pressed': String(term.code === this.chosen), title: term.definition, onclick: () => this.take(term.code) },
      this.marks.swatch(term.code, 30), make('span', {}, capital(term.name)));
  }

  /** @private @param {string} code */
  take(code) {
    this.showsAll = false;
    this.search.value = '';
    this.onTake(code);
  }
}
