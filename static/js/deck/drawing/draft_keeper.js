/**
 * When is the draft under the pen written to the tablet's disk? After every step, one write at a time and always as the
 * draft is then, so that an older state never follows a newer one. A draft belongs to the tab that holds its lock.
 */
import { simplify, snapPoint } from '../../wall/geometry.js';
import { allDrafts, changeOf, dropDrafts, readDraft, writeChange } from './kept_drafts.js';

/** @typedef {import('../../wall/draft.js').Draft} Draft */
/** @typedef {import('../../wall/draft.js').Step} Step */
/** @typedef {import('./kept_drafts.js').Place} Place */
/** @typedef {import('./kept_drafts.js').Stroke} Stroke */
/** @typedef {import('./kept_drafts.js').DraftRow} DraftRow */
/**
 * The draft that is being kept.
 * @typedef {{id: string, draft: Draft, place: Place, numbers: Map<Step, number>, isKept: boolean, release: (() => void) | null, left: boolean}} Held
 */

/** How often a stroke under way is written [ms]. */
export const STROKE_EVERY_MS = 250;
/** How soon a write that failed is tried again [ms]. */
export const AGAIN_AFTER_MS = 2000;
/** The latest at which the page shows a step, written or not [ms]. */
export const SHOWN_WITHIN_MS = 60;

export class DraftKeeper {
  /**
   * @param {object} options
   * @param {import('../core/disk.js').Disk} options.disk
   * @param {import('../core/platform.js').Platform} options.platform
   * @param {(work: () => Promise<any>) => Promise<any>} options.keep says "saving" and "saved" around a write; resolves in any case
   */
  constructor({ disk, platform, keep }) {
    this.disk = disk;
    this.platform = platform;
    this.keep = keep;
    /** @type {Held | null} */
    this.held = null;
    /** @type {Set<() => void>} what waits to be shown */
    this.shows = new Set();
    /** @type {Draft | null} a draft on its way into the record, which is not kept anew */
    this.away = null;
    /** @type {Stroke | null} */
    this.stroke = null;
    this.strokeWaits = false;
    this.isStale = false;
    /** @type {Promise<void> | null} */
    this.writing = null;
  }

  /** The id of the draft being kept. @returns {string | null} */
  get id() {
    return this.held?.id ?? null;
  }

  /** Keep this draft from now on, or none. @param {Draft | null} draft @param {Place} place */
  hold(draft, place) {
    if (draft === (this.held?.draft ?? null) || (draft && draft === this.away)) return;
    this.letGo();
    if (draft) this.held = { id: this.platform.uuid7(), draft, place, numbers: new Map(), isKept: false, release: null, left: false };
  }

  /** The draft changed: write it as it is, after the write under way. */
  changed() {
    if (!this.held || (this.held.draft.isEmpty && !this.held.isKept && !this.stroke)) return;
    this.isStale = true;
    this.writing ??= this.keep(() => this.writeAll()).then(() => { this.writing = null; });
  }

  /** Resolves when nothing waits to be written, or the disk refused it. */
  async settled() {
    while (this.writing) await this.writing;
  }

  /**
   * Show a step once it is on the disk, so that drawing it never keeps it from there; a slow disk is not waited for.
   * @param {() => void} show the same function for the same part of the page, so that it is shown once
   */
  afterwards(show) {
    if (this.shows.has(show)) return;
    this.shows.add(show);
    const late = new Promise((resolve) => this.platform.later(() => resolve(undefined), SHOWN_WITHIN_MS));
    // Who changed the draft has not told the keeper yet when the page's parts are told.
    const written = Promise.resolve().then(() => this.settled());
    void Promise.race([written, late]).then(() => {
      this.shows.delete(show);
      show();
    });
  }

  /** A stroke goes on, or has ended. @param {import('../../wall/geometry.js').Point[] | null} points @param {number} tolerance_in */
  strokeMoved(points, tolerance_in) {
    this.stroke = points ? { points, tolerance_in } : null;
    if (!points) return this.changed();
    if (this.strokeWaits) return;
    this.strokeWaits = true;
    this.platform.later(() => {
      this.strokeWaits = false;
      if (this.stroke) this.changed();
    }, STROKE_EVERY_MS);
  }

  /** The draft is going into the record: write nothing more, and give its id to be cleared with the entry. @returns {Promise<Held | null>} */
  async release() {
    await this.settled();
    const { held } = this;
    this.away = held?.draft ?? null;
    this.held = null;
    return held;
  }

  /** The record refused it, or it is in the record: go on keeping it, or give up its lock. @param {Held} held @param {{isInRecord: boolean}} outcome */
  released(held, { isInRecord }) {
    this.away = null;
    if (isInRecord) held.release?.();
    else if (!this.held) this.held = held;
  }

  /**
   * Put the draft aside: it stays on the disk to be taken up again; one without a step is dropped.
   * @returns {Promise<{isLeft: boolean, id: string | null}>} not left where the disk refused it, for it would be lost
   */
  async leave() {
    const { held } = this;
    if (!held) return { isLeft: true, id: null };
    const isWorth = hasSteps(held.draft);
    held.left = isWorth;
    if (isWorth) this.changed();
    await this.settled();
    if (isWorth && this.isStale) {
      held.left = false;
      return { isLeft: false, id: held.id };
    }
    this.letGo();
    if (!isWorth && held.isKept) await this.forget([held.id]);
    return { isLeft: true, id: isWorth ? held.id : null };
  }

  /** The drafts on this tablet that are not under this tab's pen. @returns {Promise<DraftRow[]>} */
  async others() {
    return (await allDrafts(this.disk)).filter((row) => row.id !== this.id);
  }

  /**
   * Take a draft up as it was left; what another tab draws stays with it.
   * @param {string} id
   * @returns {Promise<{draft: Draft, head: DraftRow} | null>}
   */
  async takeUp(id) {
    const release = await this.lock(id);
    if (!release) return null;
    const kept = await readDraft(this.disk, id);
    if (!kept) {
      release();
      return null;
    }
    this.letGo();
    const { head, draft, numbers } = kept;
    this.held = { id, draft, place: { cell: head.cell, mode: head.mode }, numbers, isKept: true, release, left: false };
    if (head.stroke) draft.addOpenStroke(head.stroke.points, head.stroke.tolerance_in);
    if (head.stroke || head.left) this.changed();
    return { draft, head };
  }

  /** The latest draft that was open when the page ended, taken up. */
  async restore() {
    for (const row of await allDrafts(this.disk)) {
      const found = row.left ? null : await this.takeUp(row.id);
      if (found && (hasSteps(found.draft) || !found.draft.isEmpty)) return found;
      if (found) await this.leave();
    }
    return null;
  }

  /** Forget drafts that were put aside. @param {string[]} ids */
  async forget(ids) {
    if (ids.length) await this.keep(() => dropDrafts(this.disk, ids));
  }

  /** @private */
  letGo() {
    this.held?.release?.();
    this.held = null;
    this.isStale = false;
  }

  /** @private */
  async writeAll() {
    // What changes in the same breath is written in one transaction.
    await null;
    while (this.isStale && this.held) {
      this.isStale = false;
      await this.writeOnce(this.held);
    }
  }

  /** @private @param {Held} held */
  async writeOnce(held) {
    if (!held.release) {
      const release = await this.lock(held.id);
      if (this.held !== held) return void release?.();
      held.release = release;
    }
    const change = changeOf({ ...held, stroke: this.strokeNow(), now_ms: this.platform.now_ms() });
    try {
      await writeChange(this.disk, change);
    } catch (error) {
      this.isStale = true;
      this.platform.later(() => { if (this.isStale) this.changed(); }, AGAIN_AFTER_MS);
      throw error;
    }
    held.numbers = change.numbers;
    held.isKept = true;
  }

  /** @private @returns {Stroke | null} */
  strokeNow() {
    if (!this.stroke) return null;
    return { points: simplify(this.stroke.points.map(snapPoint), this.stroke.tolerance_in), tolerance_in: this.stroke.tolerance_in };
  }

  /** Hold a draft's lock until it is let go. @private @param {string} id @returns {Promise<(() => void) | null>} null where another tab has it */
  lock(id) {
    return new Promise((resolve) => {
      const had = this.platform.withLock(`draft ${id}`, () => new Promise((release) => resolve(() => release(undefined))));
      void Promise.resolve(had).then(() => resolve(null));
    });
  }
}

/** Whether anything was drawn, also where it was taken back again. @param {Draft} draft */
function hasSteps({ history }) {
  return history.done.length + history.undone.length > 0;
}
