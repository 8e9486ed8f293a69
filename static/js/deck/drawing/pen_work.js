/**
 * What can a person do with the pen on the deck? Begin an outline, grow an edge, correct, put down, put aside, withdraw:
 * each goes to the record whole or stays under the pen, and says its outcome. Nothing here draws.
 */
import { Draft } from '../../wall/draft.js';
import { boundsOf } from '../../wall/geometry.js';
import { continuationId, drawnOver, statedOf } from '../../wall/statements.js';
import { capital } from '../../wall/words.js';

/** @typedef {import('../../wall/statements.js').Outline} Outline */
/** @typedef {import('../../wall/draft.js').Kind} Kind */
/** @typedef {(geometry: import('../../wall/geometry.js').Geometry) => void} TakePart */

/** What was stated of an old outline's edge and by its pictures says nothing of today. */
const OF_THAT_DAY = ['edge', 'note', 'debris', 'photographs', 'confidence', 'activity', 'observed_on'];

/** @param {string} type geometry type @returns {Kind} */
export function kindOf(type) {
  if (type.endsWith('Polygon')) return 'area';
  return type.endsWith('LineString') ? 'line' : 'point';
}

export class PenWork {
  /**
   * @param {import('../deck.js').Deck} deck
   * @param {import('./draft_keeper.js').DraftKeeper} keeper
   */
  constructor(deck, keeper) {
    this.deck = deck;
    this.store = deck.store;
    this.keeper = keeper;
    /** @type {TakePart | null} who takes a part of an examination that is being drawn */
    this.takePart = null;
    /** @type {string | null} the draft put aside last, which undo takes up again */
    this.lastAside = null;
    this.isBusy = false;
  }

  /** Take a term under the pen; an outline of the same kind changes its term. @param {string} code @param {Kind} [kind] */
  async takeTerm(code, kind) {
    const { draft } = this.store.state;
    const term = this.deck.marks.term(code);
    if (draft?.purpose === 'outline' && !draft.isEmpty && term.geometry.includes(draft.kind)) {
      if (draft.stated.term !== code) delete draft.stated.measures;
      draft.stated.term = code;
      this.store.set({ term: code, draftStep: this.store.state.draftStep + 1 });
      return;
    }
    if (draft && !draft.isEmpty && !(await this.putAside())) return;
    this.open(this.newDraft({ kind: kind ?? /** @type {Kind} */ (term.geometry[0]), stated: { term: code, mode: this.store.state.mode, basis: 'drawn', item: '' } }));
  }

  /** Draw only what is new of an outline of the last survey, or of this one where it was answered already. @param {Outline} prior */
  async grow(prior) {
    if (!(await this.putAside())) return;
    const { record } = this.deck;
    const objectId = continuationId(record.survey.id, prior.id);
    const standing = record.outlines.get(objectId);
    const from = standing ?? prior;
    const kept = Object.fromEntries(Object.entries(statedOf(from)).filter(([key]) => !OF_THAT_DAY.includes(key)));
    const stated = { ...kept, basis: 'edited-copy', continues: [prior.id], mode: this.store.state.mode };
    const draft = this.newDraft({ kind: kindOf(from.geometry.type), geometry: structuredClone(from.geometry), stated, identity: { objectId } });
    if (draft.kind !== 'point') draft.addNext('edge');
    this.open(draft);
  }

  /** Change an outline of this survey. @param {string} id */
  async correct(id) {
    const outline = this.deck.record.outlines.get(id);
    if (!outline || !(await this.putAside())) return;
    this.open(this.newDraft({ kind: kindOf(outline.geometry.type), geometry: structuredClone(outline.geometry), stated: statedOf(outline), identity: { objectId: id } }));
  }

  /** Draw a part of an examination: hidden, or within touch. @param {'hidden' | 'touch'} purpose @param {TakePart} take */
  async part(purpose, take) {
    if (!(await this.putAside())) return;
    this.takePart = take;
    const { cell, mode } = this.store.state;
    const begun = (await this.keeper.others()).find((row) => row.purpose === purpose && row.cell === cell && row.mode === mode);
    if (begun && await this.takeUp(begun.id)) return;
    this.open(this.newDraft({ kind: 'area', purpose }));
  }

  /** Put the draft down as an entry, finishing the line under the pen. @returns {Promise<boolean>} whether it is in the record */
  async putDown() {
    const { draft } = this.store.state;
    if (!draft || this.isBusy || !this.isComplete(draft)) return false;
    this.isBusy = true;
    // No tap reaches the draft while it is on its way.
    this.store.set({ tool: 'choose' });
    try {
      return await (draft.purpose === 'outline' ? this.putDownOutline(draft) : this.putDownPart(draft));
    } finally {
      this.isBusy = false;
    }
  }

  /** Put the draft aside; it can be taken up again until its cell is done. @returns {Promise<boolean>} whether nothing is under the pen now */
  async putAside() {
    const { draft } = this.store.state;
    if (!draft) return true;
    const { isLeft, id } = await this.keeper.leave();
    if (!isLeft) {
      this.deck.say('The tablet\'s disk did not take the outline, so it stays under the pen. See the line above.', 'error');
      return false;
    }
    this.store.set({ draft: null, draftStep: this.store.state.draftStep + 1 });
    this.lastAside = id;
    return true;
  }

  /** @param {string} id of a draft that was put aside */
  async takeUp(id) {
    if (!(await this.putAside())) return false;
    const found = await this.keeper.takeUp(id).catch((error) => /** @type {Error} */ (error));
    if (!found || found instanceof Error) {
      this.deck.say(found ? `The outline could not be read: ${found.message}` : 'That outline is open in another tab of this tablet. Go on there, or close that tab.', 'error');
      return false;
    }
    this.show(found.draft, found.head);
    return true;
  }

  /** The outline that was open when the page ended. @returns {Promise<boolean>} whether there was one */
  async restore() {
    const found = await this.keeper.restore();
    if (found) this.show(found.draft, found.head);
    return Boolean(found);
  }

  /** @param {string} id @param {string} reason */
  async withdraw(id, reason) {
    const outline = this.deck.record.outlines.get(id);
    if (!outline || this.isBusy) return;
    this.isBusy = true;
    const isKept = await this.deck.keep(() => this.deck.record.withdraw(id, reason));
    this.isBusy = false;
    if (isKept) this.lastAside = null;
    if (isKept) this.deck.say(`${outline.item} withdrawn: ${reason}. Undo brings it back.`, 'ok');
  }

  /** One step back: of the draft, else of the record. */
  async undo() {
    const { draft } = this.store.state;
    if (draft?.undo()) return;
    if (!draft?.isEmpty && draft) return;
    if (!draft && this.lastAside) {
      const id = this.lastAside;
      this.lastAside = null;
      await this.takeUp(id);
      return;
    }
    await this.act(() => this.deck.record.undoAct(), 'taken back, on record');
  }

  /** One step again: of the draft, else of the record. */
  async redo() {
    const { draft } = this.store.state;
    if (draft?.redo()) return;
    if (draft?.isEmpty ?? true) await this.act(() => this.deck.record.redoAct(), 'stated again');
  }

  /** @private @param {() => Promise<any>} work @param {string} outcome */
  async act(work, outcome) {
    if (this.isBusy) return;
    this.isBusy = true;
    let act = null;
    const isKept = await this.deck.keep(async () => { act = await work(); });
    this.isBusy = false;
    const done = /** @type {any} */ (act);
    if (isKept) this.deck.say(done ? `${(done.after ?? done.before)?.item ?? 'The last statement'} ${outcome}.` : 'There is nothing further.', done ? 'ok' : 'info');
  }

  /** @private @param {Draft} draft */
  isComplete(draft) {
    if (draft.sketch.length && !draft.finish()) {
      const fewest = draft.kind === 'area' && draft.role !== 'edge' ? 'An area needs at least three points' : 'A line needs at least two points';
      this.deck.say(`${fewest}; ${draft.sketch.length} so far. Tap on, or take the points back.`, 'error');
      return false;
    }
    if (!draft.geometry) this.deck.say('Nothing is drawn yet.', 'error');
    return draft.geometry !== null;
  }

  /** @private @param {Draft} draft */
  async putDownOutline(draft) {
    const geometry = /** @type {import('../../wall/geometry.js').Geometry} */ (draft.geometry);
    const drawn = draft.isReshaped ? drawnOver(draft.stated, this.deck.plate.picture, geometry) : draft.stated;
    const stated = { ...drawn, item: draft.stated.item || this.itemNameFor(geometry) };
    const held = await this.keeper.release();
    /** @type {Outline | null} */
    let standing = null;
    const isKept = await this.deck.keep(async () => {
      standing = await this.deck.record.putDown({ geometry, stated, objectId: draft.identity.objectId, clearingDraft: held?.isKept ? held.id : undefined });
    });
    if (held) this.keeper.released(held, { isInRecord: isKept });
    if (!isKept) {
      this.store.set({ tool: 'draw' });
      return false;
    }
    this.store.set({ draft: null, draftStep: this.store.state.draftStep + 1 });
    const { item, term } = /** @type {{item: string, term: string}} */ (standing ?? stated);
    this.deck.say(`${item} put down: ${this.deck.marks.term(term).name}.`, 'ok');
    if (!draft.identity.objectId) await this.takeTerm(draft.stated.term, draft.kind);
    return true;
  }

  /** @private @param {Draft} draft */
  async putDownPart(draft) {
    const geometry = /** @type {import('../../wall/geometry.js').Geometry} */ (draft.geometry);
    if (!this.takePart) {
      // The page was started anew since: who asked for the part asks again, and finds it.
      await this.putAside();
      this.deck.say('The part is kept. Go to the cell and choose the same again: it is taken up there.', 'info');
      return false;
    }
    const held = await this.keeper.release();
    this.store.set({ draft: null, draftStep: this.store.state.draftStep + 1 });
    this.takePart(geometry);
    this.takePart = null;
    if (held) this.keeper.released(held, { isInRecord: true });
    if (held?.isKept) await this.keeper.forget([held.id]);
    return true;
  }

  /** A new item is named after the cell that holds the middle of its outline. @private @param {import('../../wall/geometry.js').Geometry} geometry */
  itemNameFor(geometry) {
    const [x0, y0, x1, y1] = boundsOf(geometry);
    const { record, plan } = this.deck;
    return record.freeItemName(plan.cellAt((x0 + x1) / 2, (y0 + y1) / 2) ?? this.store.state.cell);
  }

  /** @private @param {ConstructorParameters<typeof Draft>[0]} options */
  newDraft(options) {
    return new Draft({ ...options, onChange: () => this.store.step('draftStep') });
  }

  /** @private @param {Draft} draft */
  open(draft) {
    this.lastAside = null;
    this.store.set({ draft, term: draft.stated.term ?? null, tool: 'draw', chosen: null, draftStep: this.store.state.draftStep + 1 });
  }

  /** Show a draft that comes from the disk. @private @param {Draft} draft @param {import('./kept_drafts.js').Place} place */
  show(draft, { cell, mode }) {
    draft.onChange = () => this.store.step('draftStep');
    this.store.set({ cell, mode });
    this.open(draft);
  }
}

/** What is being drawn, in words. @param {Draft} draft @param {import('../../wall/marks.js').TermMarks} marks */
export function draftName(draft, marks) {
  if (draft.purpose === 'hidden') return 'Hidden part';
  if (draft.purpose === 'touch') return 'Part within touch';
  const name = capital(marks.term(draft.stated.term).name);
  return draft.stated.item ? `${draft.stated.item}, ${name.toLowerCase()}` : name;
}
