/**
 * What does the record hold for this survey, as far as this page knows? Loads it, and puts down, corrects and withdraws
 * through the port; what was put down shows at once as pending and becomes firm with the receipt.
 */
import { History } from './history.js';
import { continuationId, examinationId, expectedOutline, freeItemName, observationBody, observationEntry, roughCells, statedOf, withdrawalEntry } from './statements.js';
import { uuid7 } from '../shared/uuid.js';

/** @typedef {import('./statements.js').Outline} Outline */
/** @typedef {import('./geometry.js').Geometry} Geometry */
/** @typedef {{objectId: string, before: Outline | null, after: Outline | null}} Act */

export const UNDONE_AT_ONCE = 'undone at once';

export class SurveyRecord {
  /**
   * @param {object} options
   * @param {any} options.data the page's boot data
   * @param {import('./plan.js').WallPlan} options.plan
   * @param {import('./state.js').Store} options.store
   * @param {import('../shared/port.js').HttpPort} options.port
   * @param {() => string} options.today ISO date
   */
  constructor({ data, plan, store, port, today }) {
    this.survey = data.survey;
    this.urls = data.urls;
    this.account = data.account;
    this.observer = data.account.name;
    this.plan = plan;
    this.store = store;
    this.port = port;
    this.today = today;
    /** @type {Map<string, Outline>} */
    this.outlines = new Map();
    /** @type {Map<string, Outline>} */
    this.previous = new Map();
    /** @type {Map<string, any>} by cell and mode */
    this.examinations = new Map();
    /** @type {History<Act>} */
    this.acts = new History();
    /** @type {Map<string, string>} the head entry of a withdrawn object, needed to state it again */
    this.withdrawnHeads = new Map();
  }

  /** Load outlines, last survey's outlines and examinations. */
  async load() {
    const [shapes, examinations, previous] = await Promise.all([
      readJson(this.urls.shapes), readJson(this.urls.examinations),
      this.urls.previous_shapes ? readJson(this.urls.previous_shapes) : { outlines: [] },
    ]);
    this.outlines = new Map(shapes.outlines.map((/** @type {Outline} */ outline) => [outline.id, outline]));
    this.previous = new Map(previous.outlines.map((/** @type {Outline} */ outline) => [outline.id, outline]));
    for (const examination of examinations.examinations) this.examinations.set(`${examination.cell}:${examination.mode}`, examination);
    this.store.step('recordStep');
    this.store.step('examinationStep');
  }

  /** Who observed and, where it is another person, who recorded. @returns {import('./statements.js').Author} */
  get author() {
    return this.observer === this.account.name ? { observed_by: this.observer } : { observed_by: this.observer, recorded_by: this.account.name };
  }

  /** Last survey's outlines that nothing in this survey continues. @returns {Outline[]} */
  openPrevious() {
    const continued = new Set([...this.outlines.values()].flatMap((outline) => outline.continues ?? []));
    return [...this.previous.values()].filter((outline) => !continued.has(outline.id));
  }

  /** @param {string} cell */
  freeItemName(cell) {
    return freeItemName(cell, [...this.outlines.values(), ...this.previous.values()]);
  }

  /** @param {Geometry} geometry */
  cellsOf(geometry) {
    return roughCells(this.plan, geometry);
  }

  /**
   * Put an outline down: a new object, a continuation, or a correction of one that stands.
   * @param {{geometry: Geometry, stated: Record<string, any>, objectId?: string}} options
   * @returns {Promise<Outline>}
   */
  putDown({ geometry, stated, objectId = uuid7() }) {
    const body = observationBody({ survey: this.survey, geometry, stated: { observed_on: this.today(), ...stated } });
    return this.observe(objectId, body, true);
  }

  /** State that an outline of the last survey shows no visible change. @param {Outline} prior */
  seenNoChange(prior) {
    const stated = { ...statedOf(prior), basis: 'seen-no-change', continues: [prior.id], observed_on: this.today(), mode: this.store.state.mode };
    return this.putDown({ geometry: prior.geometry, stated, objectId: continuationId(this.survey.id, prior.id) });
  }

  /** @param {string} objectId @param {string} reason @param {boolean} [isAct] whether undo may take it back */
  async withdraw(objectId, reason, isAct = true) {
    const standing = this.outlines.get(objectId);
    if (!standing) return;
    this.outlines.delete(objectId);
    this.store.set({ recordStep: this.store.state.recordStep + 1, chosen: null });
    const entry = withdrawalEntry({ objectId, head: standing.entry, reason, author: this.author });
    try {
      const receipt = await this.port.appendEntry(entry);
      this.withdrawnHeads.set(objectId, receipt.id);
      if (isAct) this.acts.push({ objectId, before: standing, after: null });
    } catch (error) {
      this.outlines.set(objectId, standing);
      throw error;
    } finally {
      this.store.step('recordStep');
    }
  }

  /** Take back the last thing that was put down, corrected or withdrawn here. @returns {Promise<Act | undefined>} */
  async undoAct() {
    const act = this.acts.undo();
    if (act) await this.restore(act.objectId, act.before);
    return act;
  }

  /** @returns {Promise<Act | undefined>} */
  async redoAct() {
    const act = this.acts.redo();
    if (act) await this.restore(act.objectId, act.after);
    return act;
  }

  /**
   * State what was seen of a cell in a mode.
   * @param {{cell: string, mode: string, body: Record<string, any>}} options
   */
  async examine({ cell, mode, body }) {
    const key = `${cell}:${mode}`;
    const before = this.examinations.get(key);
    const whole = { layout: this.plan.layout, cell, mode, ...body };
    const entry = { id: uuid7(), object_id: examinationId(this.survey.id, this.plan.layout, cell, mode), kind: 'examination', body: whole, parents: before ? [before.entry] : [], ...this.author };
    this.examinations.set(key, { ...whole, id: entry.object_id, entry: entry.id, observed_by: this.observer, pending: true });
    this.store.step('examinationStep');
    try {
      const receipt = await this.port.appendEntry(entry);
      this.examinations.set(key, receipt.examination ?? { ...this.examinations.get(key), entry: receipt.id, pending: false });
    } catch (error) {
      if (before) this.examinations.set(key, before);
      else this.examinations.delete(key);
      throw error;
    } finally {
      this.store.step('examinationStep');
    }
  }

  /** @private @param {string} objectId @param {Outline | null} wanted */
  async restore(objectId, wanted) {
    if (!wanted) {
      await this.withdraw(objectId, UNDONE_AT_ONCE, false);
      return;
    }
    const body = observationBody({ survey: this.survey, geometry: wanted.geometry, stated: statedOf(wanted) });
    await this.observe(objectId, body, false);
  }

  /** @private @param {string} objectId @param {Record<string, any>} body @param {boolean} isAct @returns {Promise<Outline>} */
  async observe(objectId, body, isAct) {
    const before = this.outlines.get(objectId) ?? null;
    const head = before?.entry ?? this.withdrawnHeads.get(objectId);
    const entry = observationEntry({ objectId, parents: head ? [head] : [], body, author: this.author });
    this.outlines.set(objectId, expectedOutline(entry, (geometry) => this.cellsOf(geometry)));
    this.store.step('recordStep');
    try {
      const receipt = await this.port.appendEntry(entry);
      const expected = /** @type {Outline} */ (this.outlines.get(objectId));
      const standing = receipt.outline ?? { ...expected, entry: receipt.id };
      this.outlines.set(objectId, { ...standing, pending: false });
      if (isAct) this.acts.push({ objectId, before, after: standing });
      return standing;
    } catch (error) {
      if (before) this.outlines.set(objectId, before);
      else this.outlines.delete(objectId);
      throw error;
    } finally {
      this.store.step('recordStep');
    }
  }
}

/** @param {string} url @returns {Promise<any>} */
async function readJson(url) {
  const response = await fetch(url, { credentials: 'same-origin', headers: { Accept: 'application/json' } });
  if (!response.ok) {
    const answer = await response.json().catch(() => null);
    throw new Error(answer?.message ?? `The record could not be read (${response.status}). Reload the page; nothing was changed.`);
  }
  return response.json();
}
