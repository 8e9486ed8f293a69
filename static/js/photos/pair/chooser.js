/**
 * Which term does a hint become? Terms of the survey's search list as buttons, all others behind "more", and a search that
 * everyday words lead.
 */
import { freshId } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';
import { searchTerms } from '../../shared/terms.js';
import { capital } from '../../wall/words.js';

/** @typedef {import('../../wall/marks.js').Term} Term */

const MOST_NEAR = 12;

export class TermChooser {
  /**
   * @param {object} options
   * @param {import('../../wall/marks.js').TermMarks} options.marks
   * @param {string[]} options.searchList codes of what was looked for in this light
   * @param {(term: Term) => void} options.onChoose
   */
  constructor({ marks, searchList, onChoose }) {
    this.marks = marks;
    this.onChoose = onChoose;
    /** @type {Term | null} */
    this.chosen = null;
    // A hint is an area: a term that is drawn as a line or a point alone cannot be one.
    this.terms = marks.terms.filter((term) => term.geometry.includes('area'));
    const listed = this.terms.filter((term) => searchList.includes(term.code));
    this.near = (listed.length ? listed : this.terms.filter((term) => term.near)).slice(0, MOST_NEAR);
    this.search = make('input', { id: freshId('term'), type: 'search', autocomplete: 'off', oninput: () => this.show(), onkeydown: (/** @type {KeyboardEvent} */ event) => this.key(event) });
    this.found = make('div', { class: 'palette-group', role: 'group', 'aria-label': 'Terms' });
    this.more = make('details', { class: 'more' }, make('summary', {}, `All terms of an area (${this.terms.length})`), make('div', { class: 'palette-group' }, this.terms.map((term) => this.termButton(term))));
    this.element = make('div', { class: 'pair-terms' }, make('div', { class: 'field' }, make('label', { for: this.search.id }, 'What is it?'), this.search, make('p', { class: 'hint' }, 'A term, a synonym or an everyday word')), this.found, this.more);
    this.show();
  }

  /** @private */
  show() {
    const query = this.search.value.trim();
    const found = query ? searchTerms(query, this.terms).map(({ term, foundBy }) => this.termButton(term, foundBy === term.name ? '' : `“${foundBy}”`)) : this.near.map((term) => this.termButton(term));
    fill(this.found, found.length ? found : make('p', { class: 'hint' }, `No term of an area answers to “${query}”. Look through all terms below.`));
    this.mark();
  }

  /** @private @param {Term} term @param {string} [note] */
  termButton(term, note = '') {
    return make('button', { type: 'button', class: 'term-button', dataset: { term: term.code }, title: term.definition, onclick: () => this.take(term) },
      this.marks.swatch(term.code), make('span', { class: 'term-name' }, capital(term.name), note ? make('small', {}, note) : null));
  }

  /** @private @param {Term} term */
  take(term) {
    this.chosen = term;
    this.mark();
    this.onChoose(term);
  }

  /** @private */
  mark() {
    for (const button of /** @type {NodeListOf<HTMLElement>} */ (this.element.querySelectorAll('.term-button'))) {
      button.setAttribute('aria-pressed', String(button.dataset.term === this.chosen?.code));
    }
  }

  /** Enter takes the first term found; Escape empties the search. @private @param {KeyboardEvent} event */
  key(event) {
    if (event.key === 'Escape') {
      this.search.value = '';
      this.show();
    }
    if (event.key !== 'Enter') return;
    event.preventDefault();
    if (this.search.value.trim()) /** @type {HTMLElement | null} */ (this.found.querySelector('.term-button'))?.click();
  }
}
