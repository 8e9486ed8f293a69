/**
 * What does the observer answer to the outlines of one cell? First a look without them, then one after another, each with
 * its four answers; what cannot be seen gets its cause, and what is not answered is asked again.
 */
import { fill, make } from '../../shared/dom.js';
import { inMode } from '../../wall/words.js';
import { AnswerGuard } from './answer_guard.js';
import { causePanel, notePanel } from './asking.js';
import { ANSWER_WORDS, otherLightText, readAloud } from './items.js';
import { roundOf } from './round.js';
import { HIDDEN_CAUSES, NOT_EXAMINED_CAUSES } from './safety.js';

/** @typedef {import('../../wall/statements.js').Outline} Outline */
/** @typedef {import('../controls.js').Control} Control */
/** @typedef {'cause' | 'hidden' | 'not-examined' | 'note' | 'less' | null} Asking what is asked beside the answers */

const TAP_REACH_PX = 28;

export class CellScreen {
  static title = 'Cell';
  static full = false;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.round = roundOf(deck);
    this.isShown = false;
    /** @type {Asking} */
    this.asking = null;
    /** @type {import('../../wall/geometry.js').Geometry | null} a hidden part that was drawn and has no cause yet */
    this.part = null;
    this.guard = new AnswerGuard();
    this.fitted = '';
    this.element = make('section', { class: 'deck-screen is-plate round-cell-note', 'aria-label': CellScreen.title });
    deck.store.watch(['recordStep', 'lookStage', 'screen'], () => { if (this.isShown) this.showOwn(); });
    deck.plate.map.on('click', (/** @type {any} */ event) => this.tap(event));
  }

  async enter() {
    const { round } = this;
    this.asking = this.part ? 'hidden' : null;
    // A pen with nothing drawn is laid down: the next find chooses its own term.
    if (this.deck.store.state.draft?.isEmpty) await this.deck.pen.putAside();
    await round.endDrawing();
    await round.goTo(round.cell);
    void round.change({ ...round.state, screen: 'cell' });
    this.isShown = true;
    this.fit();
    this.showOwn();
    await this.goOn();
  }

  leave() {
    this.isShown = false;
    this.deck.plate.showOutlines(this.deck.record.outlines.values());
    this.deck.store.set({ chosen: null });
  }

  /** The cell fills the plate when one comes to it, and stays as it was put when one comes back. @private */
  fit() {
    const key = `${this.round.cell}:${this.round.mode}`;
    if (this.fitted !== key) this.deck.plate.fit(this.deck.plan.bounds(this.round.cell));
    this.fitted = key;
  }

  /** While one looks first, nothing on the plate tells what the last survey drew. @private */
  showOwn() {
    const { outlines } = this.deck.record;
    const looks = this.round.work.stage === 'look';
    this.deck.plate.showOutlines([...outlines.values()].filter((outline) => !looks || !outline.continues?.length));
    this.deck.plate.showAnswers(new Map(Object.entries(this.round.state.answered).map(([id, { answer }]) => [id, answer])));
  }

  /** Show what is asked now, or what "cell done" states when nothing is. @private */
  async goOn() {
    if (this.round.work.stage === 'compare' && !this.asking) {
      const item = this.round.current();
      if (!item) return this.deck.go('done');
      this.deck.store.set({ chosen: { layer: 'previous', id: item.id } });
    } else this.deck.store.set({ chosen: null });
    this.show();
  }

  /** @private */
  show() {
    if (this.asking) this.showAsking(this.asking);
    else if (this.round.work.stage === 'look') this.showLook();
    else this.showItem(/** @type {Outline} */ (this.round.current()));
  }

  /** @private */
  showLook() {
    const { cell, mode } = this.round;
    const names = this.round.searchList.map((code) => this.deck.marks.term(code).name);
    fill(this.element, make('p', { class: 'deck-now' }, make('strong', {}, `Look first: ${cell} ${inMode(mode)}.`), ' The last survey\'s outlines are not shown yet.'),
      names.length ? make('p', { class: 'round-search' }, `Look for: ${names.join(' · ')}.`) : null);
    this.deck.controls.show({
      main: [
        { id: 'compare', label: 'Show last outlines', kind: 'accent', act: () => this.guard.once(() => this.compare()) },
        this.findControl(),
        { id: 'photo', label: 'Take a photo', act: () => void this.deck.go('photo') },
        { id: 'hidden', label: 'Hidden part', act: () => this.drawHidden() },
      ],
      others: [this.undoControl(), this.redoControl(), this.noteControl(), this.skipControl(), this.viewControl(), this.beforeControl(), this.walkControl()],
    });
  }

  /** @private */
  async compare() {
    await this.round.changeWork({ stage: 'compare' });
    this.guard.shown();
    await this.goOn();
  }

  /** @private @param {Outline} item */
  showItem(item) {
    const { cell } = this.round;
    const term = this.deck.marks.term(item.term);
    const { title, size, reach, note } = readAloud(item, term, cell);
    const parts = this.round.parts();
    const left = parts.unanswered.length + parts.closer.length;
    const again = parts.closer.some(({ id }) => id === item.id);
    fill(this.element, make('p', { class: 'round-item' }, this.deck.marks.swatch(item.term, 30), make('strong', {}, title), make('span', {}, size),
      make('small', {}, `${left} ${left === 1 ? 'outline' : 'outlines'} to answer in ${cell}${again ? ', this one to look at closer' : ''}`)),
    note ? make('p', { class: 'round-item-note' }, note) : null, reach ? make('p', { class: 'hint' }, reach) : null);
    this.deck.controls.show({
      main: [this.answerControl(item, 'same'), { id: 'worse', label: ANSWER_WORDS.worse, act: () => this.guard.once(() => this.draw(item, 'worse')) },
        { id: 'cannot-see', label: ANSWER_WORDS['cannot-see'], act: () => this.guard.once(() => this.ask('cause')) }, this.answerControl(item, 'look-closer')],
      others: [this.undoControl(), this.redoControl(), { id: 'less', label: 'Smaller or gone', act: () => this.ask('less') }, this.findControl(),
        { id: 'photo', label: 'Take a photo', act: () => void this.deck.go('photo') }, { id: 'hidden', label: 'Hidden part', act: () => this.drawHidden() },
        this.noteControl(), this.skipControl(), this.viewControl(), { id: 'to-done', label: `${cell} so far`, act: () => void this.deck.go('done') }, this.beforeControl(), this.walkControl()],
    });
  }

  /** @private @param {Outline} item @param {import('./items.js').Answer} answer @returns {Control} */
  answerControl(item, answer) {
    return { id: answer, label: ANSWER_WORDS[answer], act: () => this.guard.once(() => this.answer(item, answer)) };
  }

  /** @private @param {Outline} item @param {import('./items.js').Answer} answer @param {string} [cause] */
  async answer(item, answer, cause) {
    if (!(await this.round.answer(item, answer, cause))) return;
    this.asking = null;
    this.guard.shown();
    const text = answer === 'same' ? 'seen, no change visible' : ANSWER_WORDS[answer].toLowerCase();
    this.deck.say(`${item.item}: ${text}${cause ? `, ${cause}` : ''}.`, 'ok');
    await this.goOn();
  }

  /** @private @param {Outline} item @param {import('./items.js').Answer} answer */
  async draw(item, answer) {
    await this.round.beginDrawing(item, answer);
    await this.deck.go('draw', { grow: item });
  }

  /** @private @param {Asking} asking */
  ask(asking) {
    this.asking = asking;
    this.show();
  }

  /** @private @param {NonNullable<Asking>} asking */
  showAsking(asking) {
    const leave = { id: 'leave-asking', label: 'Back', act: () => { this.part = null; this.asking = null; void this.goOn(); } };
    const item = this.round.work.stage === 'compare' ? this.round.current() : null;
    if (asking === 'note') {
      this.heading(`Note on ${this.round.cell}`, 'It stays with the cell and is stated with it.');
      return this.deck.controls.show({ main: [leave], panel: notePanel({ label: `Note on ${this.round.cell}`, value: this.round.work.note, onKeep: (note) => void this.keepNote(note) }) });
    }
    if (asking === 'less' && item) {
      this.heading(`${item.item}: smaller or gone?`, 'Without treatment few things grow smaller. Look again before you state it.');
      return this.deck.controls.show({ main: [{ id: 'smaller', label: 'Smaller: draw it', act: () => void this.draw(item, 'smaller') }, { id: 'not-found', label: 'Not found', act: () => void this.guard.once(() => this.answer(item, 'not-found')) }, leave] });
    }
    const texts = this.askingTexts(asking, item);
    this.heading(texts.title, texts.hint);
    return this.deck.controls.show({ main: [leave], panel: causePanel({ causes: texts.causes, onCause: (cause) => void this.guard.once(() => this.takeCause(asking, item, cause)) }) });
  }

  /** @private @param {NonNullable<Asking>} asking @param {Outline | null} item */
  askingTexts(asking, item) {
    const { cell, mode } = this.round;
    if (asking === 'not-examined') return { title: `Why is ${cell} not examined ${inMode(mode)}?`, hint: 'Nothing is stated of its condition.', causes: NOT_EXAMINED_CAUSES };
    if (asking === 'hidden') return { title: `What hides this part of ${cell}?`, hint: 'It is stated with the cell.', causes: HIDDEN_CAUSES };
    return { title: `What hides ${item?.item ?? 'it'}?`, hint: 'It becomes a hidden part of the cell.', causes: HIDDEN_CAUSES };
  }

  /** @private @param {string} title @param {string} hint */
  heading(title, hint) {
    fill(this.element, make('p', { class: 'deck-now' }, make('strong', {}, title), ' ', hint));
  }

  /** @private @param {NonNullable<Asking>} asking @param {Outline | null} item @param {string} cause */
  async takeCause(asking, item, cause) {
    if (asking === 'cause' && item) return this.answer(item, 'cannot-see', cause);
    this.asking = null;
    if (asking === 'not-examined') return this.skip(cause);
    if (this.part) await this.round.changeWork({ hidden: [...(this.round.work.hidden ?? []), { geometry: this.part, cause }] });
    this.part = null;
    this.deck.say(`Hidden part taken: ${cause}.`, 'ok');
    return this.goOn();
  }

  /** @private @param {string} cause */
  async skip(cause) {
    const { cell } = this.round;
    if (!(await this.round.sayNotExamined(cause))) return;
    this.deck.say(`${cell} not examined: ${cause}.`, 'info');
    await goToNext(this.deck);
  }

  /** @private @param {string} note */
  async keepNote(note) {
    await this.round.changeWork({ note });
    this.asking = null;
    await this.goOn();
  }

  /** @private */
  drawHidden() {
    void this.deck.go('draw', { part: 'hidden', onPart: (/** @type {import('../../wall/geometry.js').Geometry} */ geometry) => { this.part = geometry; } });
  }

  /** @private @returns {Control} */
  undoControl() {
    return { id: 'undo', label: 'Undo', act: () => void this.takeBack(() => this.round.undo(), 'taken back') };
  }

  /** @private @returns {Control} */
  redoControl() {
    return { id: 'redo', label: 'Redo', act: () => void this.takeBack(() => this.round.redo(), 'stated again') };
  }

  /** @private @param {() => Promise<string>} work @param {string} outcome */
  async takeBack(work, outcome) {
    let name = '';
    if (!(await this.deck.keep(async () => { name = await work(); }))) return;
    this.deck.say(name ? `${name}: ${outcome}.` : 'There is nothing further.', name ? 'ok' : 'info');
    this.fit();
    this.showOwn();
    await this.goOn();
  }

  /** @private @returns {Control} */
  findControl() {
    return { id: 'find', label: this.deck.store.state.draft ? 'Go on drawing' : 'Draw a find', act: () => void this.deck.go('draw') };
  }

  /** @private @returns {Control} */
  noteControl() {
    return { id: 'note', label: this.round.work.note ? 'Note (kept)' : 'Note', act: () => this.ask('note') };
  }

  /** @private @returns {Control} */
  skipControl() {
    return { id: 'skip', label: 'Not examined…', act: () => this.ask('not-examined') };
  }

  /** @private @returns {Control} */
  walkControl() {
    return { id: 'walk', label: 'Walk', act: () => void this.deck.go('walk') };
  }

  /** @private @returns {Control} */
  beforeControl() {
    const before = this.round.cellBefore();
    return { id: 'before', label: before ? `Back to ${before}` : 'Cell before', disabled: !before, act: () => void this.goBack(before) };
  }

  /** @private @param {string | null} before */
  async goBack(before) {
    if (!before) return;
    await this.round.goTo(before);
    await this.deck.go('cell');
  }

  /** @private @returns {Control} */
  viewControl() {
    return { id: 'view', label: `All of ${this.round.cell}`, act: () => this.deck.plate.fit(this.deck.plan.bounds(this.round.cell), true) };
  }

  /** A tap on an old outline asks about it; on one of this survey opens it for a change. @private @param {any} event */
  tap(event) {
    if (!this.isShown || this.asking || this.round.work.stage === 'look') return;
    const found = this.deck.plate.outlineAt(event.pixel, TAP_REACH_PX);
    if (found?.layer === 'own') return void this.deck.go('draw', { choose: found.id });
    const parts = this.round.parts();
    if (found && [...parts.unanswered, ...parts.closer].some(({ id }) => id === found.id)) void this.round.changeWork({ at: found.id }).then(() => this.goOn());
    else if (found && parts.otherLight.some(({ id }) => id === found.id)) this.deck.say(otherLightText([parts.otherLight.find(({ id }) => id === found.id)].filter((one) => one !== undefined), (code) => this.deck.marks.term(code)), 'info');
  }
}

/** Go to the next cell of the bay that is not settled, else to the walk. @param {import('../deck.js').Deck} deck */
export async function goToNext(deck) {
  const round = roundOf(deck);
  const next = round.nextCell();
  if (!next) return deck.go('walk');
  await round.goTo(next);
  return deck.go('cell');
}
