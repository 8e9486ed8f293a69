/**
 * What can a person do at this desk? The actions behind every button and key: choose, draw, put down, copy, withdraw.
 * Each says its outcome on the page; nothing here draws.
 */
import { Draft } from './draft.js';
import { boundsOf } from './geometry.js';
import { continuationId, drawnOver, statedOf } from './statements.js';
import { capital } from './words.js';

/** @typedef {import('./statements.js').Outline} Outline */
/** @typedef {import('./state.js').Store} Store */

/** @param {string} type geometry type @returns {import('./draft.js').Kind} */
export function kindOf(type) {
  if (type.endsWith('Polygon')) return 'area';
  return type.endsWith('LineString') ? 'line' : 'point';
}

export class Desk {
  /**
   * @param {object} options
   * @param {Store} options.store
   * @param {import('./record.js').SurveyRecord} options.record
   * @param {import('./plan.js').WallPlan} options.plan
   * @param {import('./marks.js').TermMarks} options.marks
   * @param {(message: string, kind?: 'ok' | 'error' | 'info') => void} options.say
   * @param {boolean} options.canRecord
   */
  constructor({ store, record, plan, marks, say, canRecord }) {
    this.store = store;
    this.record = record;
    this.plan = plan;
    this.marks = marks;
    this.say = say;
    this.canRecord = canRecord;
    /** @type {Set<string>} prior outlines answered "not found" on this page */
    this.notFound = new Set();
    /** @type {((geometry: import('./geometry.js').Geometry, purpose: string) => void) | null} */
    this.onPartDrawn = null;
    /** @type {((outline: Outline) => void) | null} */
    this.onCannotSee = null;
    /** @type {((cell: string) => void) | null} */
    this.onShowCell = null;
    /** @type {() => any} the picture that the plate shows, if any */
    this.pictureUnderPen = () => null;
  }

  /** Choose a cell and bring it into view. @param {string} cell */
  chooseCell(cell) {
    this.store.set({ cell });
    this.onShowCell?.(cell);
  }

  /** @param {import('./state.js').Chosen | null} chosen */
  choose(chosen) {
    if (chosen && this.store.state.draft) return;
    this.store.set({ chosen, ...(chosen ? { tab: 'outline' } : {}) });
  }

  /** Take a term under the pen; a draft of the same kind changes its term. @param {string} code */
  takeTerm(code) {
    const { draft } = this.store.state;
    const term = this.marks.term(code);
    if (draft && draft.purpose === 'outline' && term.geometry.includes(draft.kind) && !draft.isEmpty) {
      draft.stated.term = code;
      delete draft.stated.measures;
      this.store.set({ term: code, draftStep: this.store.state.draftStep + 1 });
      return;
    }
    if (draft && !draft.isEmpty) {
      this.say(`${capital(term.name)} is not drawn as ${draft.kind === 'area' ? 'an area' : `a ${draft.kind}`}. Put the draft down or give it up first.`, 'error');
      return;
    }
    this.beginOutline(code);
  }

  /** @param {string} code @param {import('./draft.js').Kind} [kind] */
  beginOutline(code, kind) {
    if (!this.mayRecord()) return;
    const term = this.marks.term(code);
    const { mode } = this.store.state;
    const stated = { term: code, mode, basis: 'drawn', item: '' };
    this.openDraft(new Draft({ kind: kind ?? /** @type {any} */ (term.geometry[0]), stated, onChange: () => this.store.step('draftStep') }), code);
  }

  /** Change an outline that stands: its shape, what is stated, or both. @param {string} id */
  beginCorrection(id) {
    const outline = this.record.outlines.get(id);
    if (!outline || !this.mayRecord()) return;
    const draft = new Draft({ kind: kindOf(outline.geometry.type), geometry: structuredClone(outline.geometry), stated: statedOf(outline), identity: { objectId: outline.id }, onChange: () => this.store.step('draftStep') });
    this.openDraft(draft, outline.term);
  }

  /** Start from a copy of last survey's outline. @param {string} id */
  beginCopy(id) {
    const prior = this.record.previous.get(id);
    if (!prior || !this.mayRecord()) return;
    const { observed_on: _, ...kept } = statedOf(prior);
    const stated = { ...kept, basis: 'edited-copy', continues: [prior.id], mode: this.store.state.mode };
    const draft = new Draft({ kind: kindOf(prior.geometry.type), geometry: structuredClone(prior.geometry), stated, identity: { objectId: continuationId(this.record.survey.id, prior.id) }, onChange: () => this.store.step('draftStep') });
    this.openDraft(draft, prior.term);
  }

  /** Draw a part of an examination instead of an outline. @param {'hidden' | 'touch'} purpose */
  beginPart(purpose) {
    if (!this.mayRecord()) return;
    const draft = new Draft({ kind: 'area', purpose, onChange: () => this.store.step('draftStep') });
    this.store.set({ draft, tool: 'draw', chosen: null, draftStep: this.store.state.draftStep + 1 });
  }

  /** @param {string} id */
  async seenNoChange(id) {
    const prior = this.record.previous.get(id);
    if (!prior || !this.mayRecord()) return;
    this.store.set({ chosen: null });
    await this.tell(this.record.seenNoChange(prior), `${prior.item}: seen, no change visible.`);
  }

  /** Nothing is drawn: the finding follows from the cell's examination. @param {string} id */
  leaveNotFound(id) {
    const prior = this.record.previous.get(id);
    if (!prior) return;
    this.notFound.add(id);
    this.store.set({ chosen: null, recordStep: this.store.state.recordStep + 1 });
    this.say(`Nothing is drawn for ${prior.item}. Once its cell is done, the comparison says: not found.`, 'info');
  }

  /** Put the draft down as an entry, finishing the line under the pen. */
  async putDown() {
    const { draft, term } = this.store.state;
    if (!draft) return;
    if (draft.sketch.length && !draft.finish()) {
      this.say(`${draft.kind === 'area' ? 'An area needs at least three points' : 'A line needs at least two points'}; ${draft.sketch.length} so far.`, 'error');
      return;
    }
    const { geometry } = draft;
    if (!geometry) {
      this.say('Nothing is drawn yet.', 'error');
      return;
    }
    if (draft.purpose !== 'outline') {
      this.closeDraft();
      this.onPartDrawn?.(geometry, draft.purpose);
      return;
    }
    this.closeDraft();
    this.say('');
    const drawn = draft.isReshaped ? drawnOver(draft.stated, this.pictureUnderPen(), geometry) : draft.stated;
    const stated = { ...drawn, item: draft.stated.item || this.itemNameFor(geometry) };
    const done = this.record.putDown({ geometry, stated, objectId: draft.identity.objectId });
    if (term && !draft.identity.objectId) this.beginOutline(term, draft.kind);
    else this.store.set({ tool: 'choose', term: null });
    try {
      const standing = await done;
      const changed = /** @type {any} */ (standing).changes?.length ? ` ${/** @type {any} */ (standing).changes.join(' ')}` : '';
      this.say(`${standing.item} put down: ${this.marks.term(standing.term).name}.${changed}`, 'ok');
    } catch (error) {
      this.bringBack(draft, error);
    }
  }

  /** A new item is named after the cell that holds the middle of its outline. @private @param {import('./geometry.js').Geometry} geometry */
  itemNameFor(geometry) {
    const [x0, y0, x1, y1] = boundsOf(geometry);
    return this.record.freeItemName(this.plan.cellAt((x0 + x1) / 2, (y0 + y1) / 2) ?? this.store.state.cell);
  }

  /** A refused outline comes back under the pen, so that nothing drawn is lost. @private @param {Draft} draft @param {unknown} error */
  bringBack(draft, error) {
    const current = this.store.state.draft;
    if (!current || current.isEmpty) this.openDraft(draft, draft.stated.term);
    this.say(`Not saved: ${error instanceof Error ? error.message : String(error)}`, 'error');
  }

  giveUpDraft() {
    this.closeDraft();
    this.store.set({ tool: 'choose', term: null });
  }

  /** @param {string} id @param {string} reason */
  async withdraw(id, reason) {
    const outline = this.record.outlines.get(id);
    if (!outline || !this.mayRecord()) return;
    if (!reason.trim()) {
      this.say('Give the reason for the withdrawal; it stays in the record with the outline.', 'error');
      return;
    }
    await this.tell(this.record.withdraw(id, reason.trim()), `${outline.item} withdrawn.`);
  }

  async undo() {
    const { draft } = this.store.state;
    if (draft?.undo()) return;
    if (draft && !draft.isEmpty) return;
    await this.tell(this.record.undoAct().then((act) => this.say(act ? `${itemOf(act)} taken back, on record.` : 'There is nothing to take back.', act ? 'ok' : 'info')), null);
  }

  async redo() {
    const { draft } = this.store.state;
    if (draft?.redo()) return;
    await this.tell(this.record.redoAct().then((act) => { if (act) this.say(`${itemOf(act)} stated again.`, 'ok'); }), null);
  }

  /** @param {Draft} draft @param {string} term */
  openDraft(draft, term) {
    this.store.set({ draft, term, tool: 'draw', chosen: null, tab: 'outline', draftStep: this.store.state.draftStep + 1 });
  }

  closeDraft() {
    this.store.set({ draft: null, draftStep: this.store.state.draftStep + 1 });
  }

  /** @private @param {Promise<unknown>} work @param {string | null} message */
  async tell(work, message) {
    try {
      await work;
      if (message) this.say(message, 'ok');
    } catch (error) {
      this.say(`Not saved: ${error instanceof Error ? error.message : String(error)}`, 'error');
    }
  }

  /** Why nothing can be recorded here, in words. */
  get readingOnly() {
    const { survey } = this.record;
    return survey.state === 'open' ? 'This account reads this survey and does not record in it.' : `Survey ${survey.code} is ${survey.state} and takes no further statements.`;
  }

  /** @private */
  mayRecord() {
    if (!this.canRecord) this.say(this.readingOnly, 'error');
    return this.canRecord;
  }
}

/** @param {import('./record.js').Act} act @returns {string} */
function itemOf(act) {
  return (act.after ?? act.before)?.item ?? 'The last statement';
}
