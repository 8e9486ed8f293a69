/**
 * What does the round know and keep while it goes on? Holds the plain data of the round, keeps every change of it on the
 * tablet's disk, and turns answers into entries. It draws nothing.
 */
import { continuationId } from '../../wall/statements.js';
import { draftFromLayout, draftFromRecord, examinationBody } from '../../wall/examination_draft.js';
import { boundsOf, rectangleRings } from '../../wall/geometry.js';
import { cellState, nextCell } from './lift.js';
import { nextItem, partItems } from './items.js';
import { isBegun, keptRound, stepAgain, stepBack, withStep, withTimes, withWork, workOf } from './round_state.js';

/** @typedef {import('../deck.js').Deck} Deck */
/** @typedef {import('../../wall/statements.js').Outline} Outline */
/** @typedef {import('./round_state.js').RoundState} RoundState */
/** @typedef {import('./items.js').Answer} Answer */

const KEY = 'round';
/** @type {WeakMap<Deck, Round>} */
const rounds = new WeakMap();

/** The one round of a deck page. @param {Deck} deck @returns {Round} */
export function roundOf(deck) {
  const known = rounds.get(deck);
  if (!known) throw new Error('The round is asked before it was read from the tablet.');
  return known;
}

/** Read the round that lies on this tablet. @param {Deck} deck @returns {Promise<Round>} */
export async function readRound(deck) {
  const row = await deck.disk.run(['round'], 'readonly', (tx) => tx.get('round', KEY));
  const { mode, cell } = deck.store.state;
  const round = new Round(deck, keptRound(row?.value, deck.record.survey.id, { mode, cell }));
  rounds.set(deck, round);
  return round;
}

export class Round {
  /** @param {Deck} deck @param {RoundState} state */
  constructor(deck, state) {
    this.deck = deck;
    this.state = state;
    /** Keeps are done one after another, each with what then stands. @type {Promise<unknown>} */
    this.kept = Promise.resolve();
    /** @type {import('./timekeeper.js').Timekeeper | null} */
    this.timekeeper = null;
  }

  get record() { return this.deck.record; }

  get mode() { return this.state.mode; }

  get cell() { return this.state.cell; }

  /** @returns {{cell: string, mode: string}} */
  get at() { return { cell: this.cell, mode: this.mode }; }

  get work() { return workOf(this.state, this.cell, this.mode); }

  /** @returns {string[]} */
  get due() { return this.deck.pack?.due ?? []; }

  /** Codes of the search list in this light. @returns {string[]} */
  get searchList() { return this.record.survey.search_list?.[this.mode] ?? []; }

  /** Take a new state and keep it; resolves when it is on the disk. @param {RoundState} state @returns {Promise<boolean>} */
  change(state) {
    // What passed until now belongs to the cell that is left; a new session brings times of its own.
    const sameSession = state.session === this.state.session;
    this.timekeeper?.tick(0);
    this.state = sameSession ? { ...state, times: this.state.times } : state;
    const { store } = this.deck;
    store.set({ cell: state.cell, mode: state.mode, bay: state.bay, lookStage: this.work.stage });
    return this.keep();
  }

  /** @returns {Promise<boolean>} */
  keep() {
    const work = () => this.deck.keep(() => this.deck.disk.run(['round'], 'readwrite', (tx) => tx.put('round', { key: KEY, value: this.state })));
    const next = this.kept.then(work, work);
    this.kept = next;
    return next;
  }

  /** @param {Partial<import('./round_state.js').CellWork>} change */
  changeWork(change) {
    return this.change(withWork(this.state, this.at, change));
  }

  /** @param {string} name @param {any} value what stands on a screen that is filled in */
  changeForm(name, value) {
    return this.change({ ...this.state, forms: { ...this.state.forms, [name]: value } });
  }

  /** Whether a cell is to be looked at in a light: what the pack names, and in every further light what was stated in the first. @param {string} label @param {string} [mode] */
  isDue(label, mode = this.mode) {
    const [first] = this.record.survey.modes;
    return this.due.includes(label) || (mode !== first && this.record.examinations.has(`${label}:${first}`));
  }

  /** How one cell stands in a light. @param {string} label @param {string} [mode] @returns {import('./lift.js').CellState} */
  stateOf(label, mode = this.mode) {
    return cellState({ examination: this.record.examinations.get(`${label}:${mode}`), begun: isBegun(this.state, label, mode), due: this.isDue(label, mode) });
  }

  /** What of a cell is unanswered, to be looked at again, or left for another light. @param {string} [cell] */
  parts(cell = this.cell) {
    const work = workOf(this.state, cell, this.mode);
    return partItems({ open: this.record.openPrevious(), cell, mode: this.mode, term: (code) => this.deck.marks.term(code), settled: [...(work.hidden ?? []).flatMap(({ item }) => (item ? [item] : [])), ...this.notFound()], closer: work.closer });
  }

  /** Old outlines not found in any cell in this light: what reaches into the next cell is not asked there again. @private */
  notFound() {
    return Object.entries(this.state.cells).filter(([key]) => key.endsWith(`:${this.mode}`)).flatMap(([, work]) => work.notFound);
  }

  /** The outline now asked about. @returns {Outline | null} */
  current() {
    const parts = this.parts();
    const asked = [...parts.unanswered, ...parts.closer];
    return asked.find(({ id }) => id === this.work.at) ?? nextItem(parts, asked, null);
  }

  /** What this survey holds in the cell. @param {string} [cell] @returns {Outline[]} */
  drawn(cell = this.cell) {
    return [...this.record.outlines.values()].filter((outline) => outline.cells.includes(cell));
  }

  /** Go to a cell; its hidden parts and reach are taken from the record, else from the layout. @param {string} cell */
  goTo(cell) {
    const state = { ...this.state, cell };
    const work = workOf(state, cell, this.mode);
    if (work.hidden !== null) return this.change(state);
    const stated = this.record.examinations.get(`${cell}:${this.mode}`);
    const { plan } = this.deck;
    const draft = stated ? draftFromRecord(stated, this.searchList) : draftFromLayout(plan.obstructionsOf(cell, this.mode), plan.bounds(cell), this.searchList);
    const sight = draft.sight === 'not-examined' ? null : draft.sight ?? this.lastSight();
    const notSearched = this.searchList.filter((code) => !draft.searched.has(code));
    return this.change(withWork(state, { cell, mode: this.mode }, { hidden: draft.hidden, touch: draft.touch, sight, note: draft.note, notSearched }));
  }

  /** How the cells of this bay were seen so far: one stands at the same place for all of them. @private */
  lastSight() {
    const stated = this.state.bay.map((label) => this.state.cells[`${label}:${this.mode}`]?.sight).filter(Boolean);
    return stated[stated.length - 1] ?? null;
  }

  /**
   * Answer the outline asked about; resolves once the answer is kept.
   * @param {Outline} item
   * @param {Answer} answer
   * @param {string} [cause] what hides it
   * @returns {Promise<boolean>}
   */
  async answer(item, answer, cause = '') {
    const { parts, order } = this.order();
    if (answer === 'same' && !(await this.deck.keep(() => this.record.seenNoChange(item)))) return false;
    const part = answer === 'cannot-see' ? { geometry: hiddenGeometry(item, this.deck.plan.extent), cause, item: item.id } : undefined;
    /** @type {import('./round_state.js').Step} */
    const step = { ...this.at, item: item.id, answer, kept: answer === 'same' ? 'record' : 'tablet', acts: await this.lastAct(), ...(part ? { part } : {}) };
    const answered = withStep(this.state, step);
    const left = parts.unanswered.filter(({ id }) => id !== item.id);
    const closer = order.filter(({ id }) => workOf(answered, this.cell, this.mode).closer.includes(id));
    return this.change(withWork(answered, this.at, { at: nextItem({ unanswered: left, closer }, order, item.id)?.id ?? null }));
  }

  /** The number of the last act of the record that can be taken back, 0 for none. @private @returns {Promise<number>} */
  async lastAct() {
    return (await this.deck.log.nextActs()).undo?.n ?? 0;
  }

  /** @private */
  order() {
    const parts = this.parts();
    return { parts, order: [...parts.unanswered, ...parts.closer] };
  }

  /** An old outline is going to be drawn anew. @param {Outline} item @param {Answer} answer worse or smaller */
  beginDrawing(item, answer) {
    return this.change({ ...this.state, drawing: { ...this.at, item: item.id, answer } });
  }

  /** If the old outline that was being drawn anew was put down, that was its answer. */
  async endDrawing() {
    const { drawing } = this.state;
    if (!drawing) return;
    const { item, cell, mode, answer } = drawing;
    const isOpen = this.record.openPrevious().some(({ id }) => id === item);
    const state = { ...this.state, drawing: null };
    await this.change(isOpen ? state : withStep(state, { cell, mode, item, answer, kept: 'record', acts: await this.lastAct() }));
  }

  /**
   * Take back what was last done here: an answer kept on the tablet, else the last act of the record.
   * @returns {Promise<string>} what was taken back, in words; empty when there is nothing
   */
  async undo() {
    const step = this.state.trail[this.state.trail.length - 1];
    if (step && step.kept === 'tablet' && step.acts >= await this.lastAct()) return this.back(step);
    const act = await this.record.undoAct();
    if (act && step?.kept === 'record' && act.objectId === continuationId(this.record.survey.id, step.item)) return this.back(step);
    return act ? this.nameOf(act) : '';
  }

  /** @private @param {import('./round_state.js').Step} step */
  async back(step) {
    const name = this.record.previous.get(step.item)?.item ?? 'The answer';
    await this.change({ ...stepBack(this.state), cell: step.cell, mode: step.mode });
    await this.reopen(step);
    return name;
  }

  /** A cell in which an answer is taken back is no longer done: its silence would say "not found". @private @param {{cell: string, mode: string}} at */
  async reopen({ cell, mode }) {
    const stated = this.record.examinations.get(`${cell}:${mode}`);
    if (!stated?.done) return;
    const searchList = this.record.survey.search_list?.[mode] ?? [];
    const body = examinationBody(draftFromRecord(stated, searchList), { box: this.deck.plan.bounds(cell), searchList, done: false });
    await this.record.examine({ cell, mode, body });
  }

  /** @returns {Promise<string>} what was done again, in words */
  async redo() {
    const step = this.state.undone[this.state.undone.length - 1];
    if (step?.kept === 'tablet') {
      await this.change({ ...stepAgain(this.state), cell: step.cell, mode: step.mode });
      return this.record.previous.get(step.item)?.item ?? 'The answer';
    }
    const act = await this.record.redoAct();
    if (act && step && act.objectId === continuationId(this.record.survey.id, step.item)) await this.change({ ...stepAgain(this.state), cell: step.cell, mode: step.mode });
    return act ? this.nameOf(act) : '';
  }

  /** @private @param {{before: Outline | null, after: Outline | null}} act */
  nameOf(act) {
    return (act.after ?? act.before)?.item ?? 'The last statement';
  }

  /** State what was seen of the cell, as done. @returns {Promise<boolean>} */
  async sayDone() {
    const { cell, mode, work } = this;
    const searched = new Set(this.searchList.filter((code) => !work.notSearched.includes(code)));
    const hidden = (work.hidden ?? []).map(({ geometry, cause }) => ({ geometry, cause }));
    const body = examinationBody({ sight: work.sight, touch: work.touch, hidden, searched, cause: '', note: work.note }, { box: this.deck.plan.bounds(cell), searchList: this.searchList, done: true });
    return this.deck.keep(() => this.record.examine({ cell, mode, body }));
  }

  /** State that the cell was not examined, and why. @param {string} cause @returns {Promise<boolean>} */
  async sayNotExamined(cause) {
    const { cell, mode, work } = this;
    const body = examinationBody({ sight: 'not-examined', touch: null, hidden: [], searched: new Set(), cause, note: work.note }, { box: this.deck.plan.bounds(cell), searchList: this.searchList, done: false });
    return this.deck.keep(() => this.record.examine({ cell, mode, body }));
  }

  /** What passed counts for the cell in use; kept with the next change. @param {import('./minutes.js').Times} passed */
  count(passed) {
    this.state = withTimes(this.state, this.at, passed);
  }

  /** Looking and touching of this session, by cell. @returns {[string, import('./minutes.js').Times][]} */
  times() {
    return Object.entries(this.state.times).map(([key, times]) => [key.slice(0, key.lastIndexOf(':')), times]);
  }

  /** The cell of the bay walked before this one. @returns {string | null} */
  cellBefore() {
    return this.state.bay[this.state.bay.indexOf(this.cell) - 1] ?? null;
  }

  /** @returns {string | null} */
  nextCell() {
    return nextCell(this.state.bay, this.cell, (label) => this.stateOf(label));
  }
}

/**
 * An outline that cannot be seen hides as an area; a line or point as the box around it, at least an inch across.
 * @param {Outline} outline
 * @param {number[]} wall the wall's box [in], beyond which nothing is stated
 * @returns {import('../../wall/geometry.js').Geometry}
 */
function hiddenGeometry({ geometry }, [left, low, right, high]) {
  if (geometry.type.endsWith('Polygon')) return structuredClone(geometry);
  const [x0, y0, x1, y1] = boundsOf(geometry);
  return { type: 'Polygon', coordinates: rectangleRings([Math.max(left, x0 - 0.5), Math.max(low, y0 - 0.5), Math.min(right, x1 + 0.5), Math.min(high, y1 + 0.5)]) };
}
