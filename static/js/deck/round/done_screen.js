/**
 * What does "cell done" assert? What is still open comes first; then the statement in words, and the one control that
 * makes it.
 */
import { fill, make } from '../../shared/dom.js';
import { capital, inMode } from '../../wall/words.js';
import { AnswerGuard } from './answer_guard.js';
import { assertion, openSentences } from './assertion.js';
import { notePanel } from './asking.js';
import { goToNext } from './cell_screen.js';
import { otherLightText } from './items.js';
import { showHidden } from './hidden_parts.js';
import { roundOf } from './round.js';

/** @typedef {import('../controls.js').Control} Control */

export class DoneScreen {
  static title = 'Cell done';
  static full = false;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.round = roundOf(deck);
    /** @type {'list' | 'note' | 'hidden' | null} */
    this.opened = null;
    this.guard = new AnswerGuard();
    this.element = make('section', { class: 'deck-screen is-plate round-done', 'aria-label': DoneScreen.title });
  }

  async enter() {
    this.opened = null;
    this.guard.shown();
    void this.round.change({ ...this.round.state, screen: 'done' });
    this.deck.plate.fit(this.deck.plan.bounds(this.round.cell));
    this.show();
  }

  leave() {
    this.deck.plate.hiddenSource.clear();
  }

  /** @private */
  show() {
    const { round } = this;
    const { cell, work } = round;
    const parts = round.parts();
    const open = openSentences({ ...parts, underPen: this.underPen });
    const looked = this.looked();
    const itemName = (/** @type {string} */ id) => this.deck.record.previous.get(id)?.item ?? 'an outline';
    const { title, sentences } = assertion({ cell, mode: round.mode, work, ...looked, drawn: this.drawnNames(), notFound: work.notFound.map(itemName), itemName });
    const other = otherLightText(parts.otherLight, (code) => this.deck.marks.term(code));
    fill(this.element, make('p', { class: 'deck-now' }, make('strong', {}, open.length ? `${cell} is not finished yet.` : title)),
      open.map((sentence) => make('p', { class: 'round-open' }, sentence)), make('div', { class: 'round-assertion' }, sentences.map((sentence) => make('p', {}, sentence))), other ? make('p', { class: 'hint' }, other) : null,
      work.note ? make('p', { class: 'hint' }, `Note: ${work.note}`) : null);
    showHidden(this.deck.plate, work.hidden ?? []);
    this.deck.controls.show({ main: open.length ? this.openControls(parts) : this.mainControls(), panel: this.panel(), others: this.others() });
  }

  /** Whether an outline is begun and not put down. @private */
  get underPen() {
    const { draft } = this.deck.store.state;
    return Boolean(draft && !draft.isEmpty);
  }

  /** Terms looked for and missed, by name. @private */
  looked() {
    const { work, searchList } = this.round;
    // A comma within a name would count as two terms of the list.
    const name = (/** @type {string} */ code) => this.deck.marks.term(code).name.replaceAll(', ', ' / ');
    return { names: searchList.filter((code) => !work.notSearched.includes(code)).map(name), missed: searchList.filter((code) => work.notSearched.includes(code)).map(name) };
  }

  /** @private */
  drawnNames() {
    return this.round.drawn().map((outline) => `${outline.item} ${this.deck.marks.term(outline.term).name}`);
  }

  /** @private @returns {Control[]} */
  mainControls() {
    const { cell, work } = this.round;
    const sight = (/** @type {'touch' | 'seen'} */ value, /** @type {string} */ label) => ({ id: `sight-${value}`, label, pressed: work.sight === value, act: () => void this.round.changeWork({ sight: value }).then(() => this.show()) });
    return [sight('touch', 'Within touch'), sight('seen', 'Seen only'), { id: 'back-to-cell', label: `Back to ${cell}`, act: () => void this.backToLook() },
      { id: 'cell-done', label: `${cell} done`, kind: 'accent', disabled: work.sight === null, act: () => void this.guard.once(() => this.state()) }];
  }

  /** @private @param {{unanswered: {item: string}[], closer: {item: string}[]}} parts @returns {Control[]} */
  openControls({ unanswered, closer }) {
    const count = unanswered.length + closer.length;
    const drawing = { id: 'go-on-drawing', label: 'Go on drawing', act: () => void this.deck.go('draw') };
    if (!count) return [drawing];
    return [...(this.underPen ? [drawing] : []), { id: 'answer-open', label: count === 1 ? 'Answer this one' : `Answer these ${count}`, kind: 'accent', act: () => void this.deck.go('cell') }];
  }

  /** The plate without old outlines again. @private */
  async backToLook() {
    await this.round.changeWork({ stage: 'look' });
    await this.deck.go('cell');
  }

  /** @private @returns {Control[]} */
  others() {
    const { work } = this.round;
    const toggle = (/** @type {'list' | 'note' | 'hidden'} */ what) => () => { this.opened = this.opened === what ? null : what; this.show(); };
    return [
      { id: 'undo', label: 'Undo', act: () => void this.undo() },
      { id: 'looked-for', label: 'Looked for…', pressed: this.opened === 'list', act: toggle('list') },
      { id: 'hidden-parts', label: `Hidden parts: ${work.hidden?.length ?? 0}`, pressed: this.opened === 'hidden', act: toggle('hidden') },
      { id: 'note', label: work.note ? 'Note (kept)' : 'Note', pressed: this.opened === 'note', act: toggle('note') },
      { id: 'touched', label: work.touch ? 'Touch: in part' : 'Touched part', disabled: work.sight !== 'touch', act: () => this.drawTouched() },
      { id: 'photo', label: 'Take a photo', act: () => void this.deck.go('photo') },
      { id: 'walk', label: 'Walk', act: () => void this.deck.go('walk') },
    ];
  }

  /** @private @returns {HTMLElement | null} */
  panel() {
    if (this.opened === 'note') return notePanel({ label: `Note on ${this.round.cell}`, value: this.round.work.note, onKeep: (note) => void this.take({ note }) });
    if (this.opened === 'list') return this.searchPanel();
    return this.opened === 'hidden' ? this.hiddenPanel() : null;
  }

  /** @private @param {Partial<import('./round_state.js').CellWork>} change */
  async take(change) {
    await this.round.changeWork(change);
    this.opened = null;
    this.show();
  }

  /** @private */
  searchPanel() {
    const { searchList, work } = this.round;
    const term = (/** @type {string} */ code) => {
      const missed = work.notSearched.includes(code);
      const next = missed ? work.notSearched.filter((one) => one !== code) : [...work.notSearched, code];
      return make('button', { type: 'button', class: 'button', dataset: { term: code }, 'aria-pressed': String(!missed), onclick: () => void this.round.changeWork({ notSearched: next }).then(() => this.show()) }, this.deck.marks.swatch(code, 26), make('span', {}, capital(this.deck.marks.term(code).name)));
    };
    if (!searchList.length) return make('p', { class: 'hint' }, `The search list names nothing ${inMode(this.round.mode)}.`);
    return make('div', { class: 'round-asking' }, make('p', { class: 'hint' }, 'Framed: looked for. A tap takes one out.'), searchList.map(term));
  }

  /** @private */
  hiddenPanel() {
    const hidden = this.round.work.hidden ?? [];
    if (!hidden.length) return make('p', { class: 'hint' }, 'Nothing of this cell was hidden.');
    return make('div', { class: 'round-asking' }, hidden.map((part, index) => make('button', { type: 'button', class: 'button', onclick: () => void this.take({ hidden: hidden.filter((_, place) => place !== index) }) }, `Remove: ${part.cause}`)));
  }

  /** @private */
  drawTouched() {
    void this.deck.go('draw', { part: 'touch', onPart: (/** @type {import('../../wall/geometry.js').Geometry} */ touch) => void this.round.changeWork({ touch, sight: 'touch' }) });
  }

  /** @private */
  async undo() {
    let name = '';
    if (!(await this.deck.keep(async () => { name = await this.round.undo(); }))) return;
    this.deck.say(name ? `${name}: taken back.` : 'There is nothing to take back.', name ? 'ok' : 'info');
    await this.deck.go('cell');
  }

  /** @private */
  async state() {
    const { cell, mode } = this.round;
    if (!(await this.round.sayDone())) return;
    await goToNext(this.deck);
    this.deck.say(`${cell} done ${inMode(mode)}.`, 'ok');
  }
}
