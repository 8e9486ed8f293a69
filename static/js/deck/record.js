/**
 * What does the record hold for this survey, as far as this tablet knows? Joins the pack and the entries on the disk, and
 * puts down, corrects and withdraws through the tablet's log: nothing stands here before it stands on the disk.
 */
import { continuationId, examinationId, expectedOutline, freeItemName, observationBody, observationEntry, roughCells, statedOf } from '../wall/statements.js';
import { byObject, emptyMaps, isPackedIn, packedObjects, place, standingOf } from './core/view.js';

/** @typedef {import('../wall/statements.js').Outline} Outline */
/** @typedef {import('../wall/geometry.js').Geometry} Geometry */
/** @typedef {import('./core/rows.js').EntryRow} EntryRow */
/** @typedef {import('./core/log.js').TabletLog} TabletLog */
/** @typedef {{objectId: string, before: Outline | null, after: Outline | null}} Act */

export const UNDONE_AT_ONCE = 'undone at once';
const LONGEST_SESSION = 80;

/** Who observes and who records; as statements name them, too. */
export class Author {
  /** @param {{observer: string, recorder: string}} people */
  constructor({ observer, recorder }) {
    this.observer = observer;
    this.recorder = recorder;
  }

  get observed_by() { return this.observer; }

  get recorded_by() { return this.recorder || this.observer; }
}

export class DeckRecord {
  /**
   * @param {object} options
   * @param {TabletLog} options.log
   * @param {any} options.pack
   * @param {import('../wall/plan.js').WallPlan} options.plan
   * @param {import('../wall/state.js').Store<any>} options.store
   * @param {import('./core/platform.js').Platform} options.platform
   */
  constructor({ log, pack, plan, store, platform }) {
    this.log = log;
    this.pack = pack;
    this.plan = plan;
    this.store = store;
    this.platform = platform;
    this.survey = pack.boot.survey;
    this.account = pack.boot.account;
    this.author = new Author({ observer: this.account?.name ?? '', recorder: this.account?.name ?? '' });
    /** @type {Map<string, Outline>} last survey's */
    this.previous = new Map((pack.boot.previous_outlines ?? []).map((/** @type {Outline} */ outline) => [outline.id, outline]));
    this.maps = emptyMaps();
    /** How many acts can be taken back. */
    this.actCount = 0;
    this.canRedo = false;
    /** @private */
    this.packed = packedObjects(pack);
    /** @private @type {Map<string, Map<string, EntryRow>>} object -> its entries by id */
    this.entries = new Map();
    /** @private @type {Set<EntryRow[]>} what is committed while everything is read anew, for each reading */
    this.meanwhile = new Set();
    /** @private what is said stands in line: two quick taps come one after the other, each knowing the one before */
    this.line = Promise.resolve();
  }

  /** Read what is on the disk, and follow it from now on. @param {ConstructorParameters<typeof DeckRecord>[0]} options */
  static async open(options) {
    const record = new DeckRecord(options);
    await record.load();
    options.log.onChange(({ rows, everything }) => {
      if (everything) record.load().catch(() => {}); // the disk has said so itself, and what was shown stays
      else record.take(rows);
    });
    return record;
  }

  get outlines() { return this.maps.outlines; }

  get examinations() { return this.maps.examinations; }

  get sessions() { return this.maps.sessions; }

  get stops() { return this.maps.stops; }

  /** Objects of every other kind: daily checks, readings, fragments, photographs, and sessions and stops too. */
  get things() { return this.maps.things; }

  /** Read everything anew. */
  async load() {
    /** @type {EntryRow[]} */
    const missed = [];
    this.meanwhile.add(missed);
    /** @type {EntryRow[]} */
    let rows;
    try {
      rows = [...await this.log.entries()].concat(missed);
    } finally {
      this.meanwhile.delete(missed);
    }
    this.maps = emptyMaps();
    this.entries = new Map([...byObject(rows)].map(([object, group]) => [object, new Map(group.map((row) => [row.id, row]))]));
    for (const objectId of new Set([...this.packed.keys(), ...this.entries.keys()])) this.stand(objectId);
    await this.countActs();
    this.store.set({ recordStep: this.store.state.recordStep + 1, examinationStep: this.store.state.examinationStep + 1 });
  }

  /** ISO date by this tablet's clock. */
  today() {
    const now = new Date(this.platform.now_ms());
    return [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((part) => String(part).padStart(2, '0')).join('-');
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
   * Put an outline down: a new object, a continuation, or a correction of one that stands. Resolves when it is on the disk.
   * @param {{geometry: Geometry, stated: Record<string, any>, objectId?: string, clearingDraft?: string}} options
   * @returns {Promise<Outline>}
   */
  putDown({ geometry, stated, objectId = this.platform.uuid7(), clearingDraft }) {
    const body = this.observationOf(geometry, { observed_on: this.today(), ...stated });
    return this.inLine(() => this.observe(objectId, body, { clearingDraft }));
  }

  /** State that an outline of the last survey shows no visible change. @param {Outline} prior */
  seenNoChange(prior) {
    const stated = { ...statedOf(prior), basis: 'seen-no-change', continues: [prior.id], observed_on: this.today(), mode: this.store.state.mode };
    return this.putDown({ geometry: prior.geometry, stated, objectId: continuationId(this.survey.id, prior.id) });
  }

  /** @param {string} objectId @param {string} reason */
  withdraw(objectId, reason) {
    return this.inLine(async () => {
      const standing = this.outlines.get(objectId);
      if (!standing) return;
      await this.append(this.withdrawalOf(objectId, reason), { act: { push: { objectId, before: standing, after: null } } });
      if (this.store.state.chosen?.id === objectId) this.store.set({ chosen: null });
    });
  }

  /** Take back the last thing that was put down, corrected or withdrawn on this tablet. @returns {Promise<Act | undefined>} */
  undoAct() {
    return this.inLine(async () => {
      const { undo } = await this.log.nextActs();
      if (!undo) return undefined;
      await this.restore(undo.act.objectId, undo.act.before, { undo: undo.n });
      return undo.act;
    });
  }

  /** @returns {Promise<Act | undefined>} */
  redoAct() {
    return this.inLine(async () => {
      const { redo } = await this.log.nextActs();
      if (!redo) return undefined;
      await this.restore(redo.act.objectId, redo.act.after, { redo: redo.n });
      return redo.act;
    });
  }

  /**
   * State what was seen of a cell in a mode; it comes after every earlier look that this tablet knows.
   * @param {{cell: string, mode: string, body: Record<string, any>}} options
   */
  async examine({ cell, mode, body }) {
    const objectId = examinationId(this.survey.id, this.plan.layout, cell, mode);
    return this.say('examination', { layout: this.plan.layout, cell, mode, ...body }, { objectId });
  }

  /**
   * State anything else. Without parents given, it comes after all heads of the object that this tablet knows.
   * @param {string} kind
   * @param {Record<string, any>} body
   * @param {{objectId?: string, parents?: string[], clearingDraft?: string}} [options]
   * @returns {Promise<import('./core/canonical.js').Statement>} as it stands on the disk
   */
  say(kind, body, { objectId = this.platform.uuid7(), parents, clearingDraft } = {}) {
    return this.inLine(async () => {
      const [kept] = await this.append({ object_id: objectId, kind, body, parents: parents ?? this.headsOf(objectId), ...this.by() }, { clearingDraft });
      return kept.entry;
    });
  }

  /** The port that the desk's parts speak to. @param {import('../shared/port.js').EntryDraft} draft */
  async appendEntry(draft) {
    const [kept] = await this.append({ ...this.by(), ...draft });
    return { id: kept.id, seq: kept.device_seq, status: 'stored' };
  }

  /** Heads of an object, as far as this tablet knows. @param {string} objectId @returns {string[]} */
  headsOf(objectId) {
    return this.maps.heads.get(objectId) ?? [];
  }

  /** Every version of an outline in conflict that this tablet has, the shown one among them. @param {string} objectId @returns {Outline[]} */
  versionsOf(objectId) {
    const heads = new Set(this.headsOf(objectId));
    const packed = this.packed.get(objectId)?.outline;
    const said = [...(this.entries.get(objectId)?.values() ?? [])].filter((row) => heads.has(row.id) && row.kind === 'observation');
    const versions = said.map((row) => ({ ...expectedOutline(row, (geometry) => this.cellsOf(geometry)), entry: row.id, conflict: true, pending: false }));
    return packed && heads.has(packed.entry) ? [{ ...packed, conflict: true }, ...versions] : versions;
  }

  /** @private @template T @param {() => Promise<T>} work @returns {Promise<T>} */
  inLine(work) {
    const turn = this.line.then(work);
    this.line = turn.then(() => {}, () => {});
    return turn;
  }

  /** @private */
  by() {
    const { observed_by, recorded_by } = this.author;
    return { observed_by, recorded_by };
  }

  /** @private @param {Geometry} geometry @param {Record<string, any>} stated */
  observationOf(geometry, stated) {
    const body = observationBody({ survey: this.survey, geometry, stated });
    const label = this.store.state.session?.label;
    if (label) body.session = String(label).slice(0, LONGEST_SESSION);
    return body;
  }

  /** @private @param {string} objectId @param {string} reason */
  withdrawalOf(objectId, reason) {
    return { object_id: objectId, kind: 'withdrawal', body: { reason }, parents: this.replacedBy(objectId), ...this.by() };
  }

  /** What a correction comes after: equal heads all; of heads that differ only the one shown, for a person decides between them. @private @param {string} objectId */
  replacedBy(objectId) {
    const shown = this.outlines.get(objectId);
    return shown?.conflict ? [shown.entry] : this.headsOf(objectId);
  }

  /** @private @param {string} objectId @param {Record<string, any>} body @param {{clearingDraft?: string, act?: import('./core/log.js').ActStep}} options @returns {Promise<Outline>} */
  async observe(objectId, body, { clearingDraft, act }) {
    const draft = { ...observationEntry({ objectId, parents: this.replacedBy(objectId), body, author: this.by() }), id: this.platform.uuid7() };
    const before = this.outlines.get(objectId) ?? null;
    const row = { ...draft, seq: null };
    const after = standingOf({ objectId, entries: [/** @type {any} */ (row)], cellsOf: (geometry) => this.cellsOf(geometry) }).outline;
    await this.append(draft, { clearingDraft, act: act ?? { push: { objectId, before, after } } });
    return /** @type {Outline} */ (this.outlines.get(objectId) ?? after);
  }

  /** @private @param {string} objectId @param {Outline | null} wanted @param {import('./core/log.js').ActStep} act */
  async restore(objectId, wanted, act) {
    if (!wanted) await this.append(this.withdrawalOf(objectId, UNDONE_AT_ONCE), { act });
    else await this.observe(objectId, this.observationOf(wanted.geometry, statedOf(wanted)), { act });
  }

  /** @private @param {import('../shared/port.js').EntryDraft} draft @param {{clearingDraft?: string, act?: import('./core/log.js').ActStep}} [options] */
  async append(draft, options) {
    const kept = await this.log.append(draft, options);
    if (options?.act) await this.countActs();
    return kept;
  }

  /** @private */
  async countActs() {
    const { redo, count } = await this.log.nextActs();
    this.actCount = count;
    this.canRedo = redo !== null;
  }

  /** Show what was committed. @private @param {EntryRow[]} rows */
  take(rows) {
    if (!rows.length) return;
    for (const missed of this.meanwhile) missed.push(...rows);
    for (const row of rows) {
      const group = this.entries.get(row.object_id) ?? new Map();
      group.set(row.id, row);
      this.entries.set(row.object_id, group);
    }
    const objects = new Set(rows.map((row) => row.object_id));
    for (const objectId of objects) this.stand(objectId);
    const isExamination = rows.some(({ kind }) => kind === 'examination');
    this.store.set({ recordStep: this.store.state.recordStep + 1, ...(isExamination ? { examinationStep: this.store.state.examinationStep + 1 } : {}) });
  }

  /** @private @param {string} objectId */
  stand(objectId) {
    const entries = [...(this.entries.get(objectId)?.values() ?? [])];
    place(this.maps, objectId, standingOf({ objectId, packed: this.packed.get(objectId), entries, cellsOf: (geometry) => this.cellsOf(geometry), isPacked: isPackedIn(this.pack, this.log.enrolment()?.epoch ?? null) }));
  }
}
