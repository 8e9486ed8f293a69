/**
 * What does a test of the drawing need of a tablet? A disk under fake-indexeddb that outlives the page, locks among tabs,
 * and a clock that stands until it is moved.
 */
import 'fake-indexeddb/auto';
import { openDB } from 'idb';
import { IdbDisk } from '../../../../static/js/deck/core/disk.js';
import { DraftKeeper } from '../../../../static/js/deck/drawing/draft_keeper.js';

let tablets = 0;

/** One tablet: its disk is named, so that every page opens the same one. */
export class Tablet {
  constructor() {
    tablets += 1;
    this.name = `tablet-${tablets}`;
    /** @type {Set<string>} locks held by any tab */
    this.locks = new Set();
    this.now_ms = Date.UTC(2026, 10, 18, 9);
    this.ids = 0;
  }

  /** A page opened on the tablet. */
  open() {
    return new Page(this);
  }
}

export class Page {
  /** @param {Tablet} tablet */
  constructor(tablet) {
    this.tablet = tablet;
    /** @type {Set<string>} */
    this.locks = new Set();
    /** @type {{at_ms: number, work: () => void}[]} */
    this.timers = [];
    this.said = [];
    this.disk = new IdbDisk({ openDB, name: tablet.name, onTrouble: () => {} });
    this.keeper = new DraftKeeper({ disk: this.disk, platform: this.platform(), keep: (work) => this.keep(work) });
  }

  /** @private */
  platform() {
    const { tablet } = this;
    return {
      now_ms: () => tablet.now_ms,
      uuid7: () => `draft-${tablet.ids += 1}`,
      later: (work, after_ms) => { this.timers.push({ at_ms: tablet.now_ms + after_ms, work }); return () => {}; },
      withLock: async (name, work) => {
        if (tablet.locks.has(name)) return undefined;
        tablet.locks.add(name);
        this.locks.add(name);
        try { return await work(); } finally { tablet.locks.delete(name); this.locks.delete(name); }
      },
    };
  }

  /** As the deck page does: the words follow the commit. @private @param {() => Promise<any>} work */
  async keep(work) {
    this.said.push('saving');
    try {
      await work();
      this.said.push('saved');
      return true;
    } catch (error) {
      this.said.push(`NOT saved: ${error.message}`);
      return false;
    }
  }

  /** Let time pass. @param {number} ms */
  pass(ms) {
    this.tablet.now_ms += ms;
    const due = this.timers.filter(({ at_ms }) => at_ms <= this.tablet.now_ms);
    this.timers = this.timers.filter((timer) => !due.includes(timer));
    for (const { work } of due) work();
  }

  /** The browser is killed: nothing of the page goes on, and its locks are free. */
  kill() {
    for (const name of this.locks) this.tablet.locks.delete(name);
    this.disk.run = () => new Promise(() => {});
  }
}

/** A draft that tells its keeper of every step, as the deck page does. @param {Page} page @param {any} draft */
export function underPen(page, draft) {
  draft.onChange = () => page.keeper.changed();
  page.keeper.hold(draft, { cell: 'C17', mode: 'normal' });
  page.keeper.changed();
  return draft;
}

/** Everything that undo and redo would show. @param {any} draft */
export function everyState(draft) {
  const back = [];
  const forward = [];
  while (draft.undo()) back.push(draft.shape);
  for (let step = 0; step < back.length; step += 1) draft.redo();
  while (draft.redo()) forward.push(draft.shape);
  for (let step = 0; step < forward.length; step += 1) draft.undo();
  return { back, now: draft.shape, forward };
}
