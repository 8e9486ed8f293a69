/**
 * What stands on a tablet's disk, and when is it there? A disk in memory with the interface of core/disk.js: what a
 * transaction wrote is there whole or not at all, and outlives the pages that use it. It may be told to fail.
 */
import { DiskFailed, STORES } from '../../../../static/js/deck/core/disk.js';

/** @typedef {{name: string, key: any, value: any, gone: boolean}} Write */

/** What a browser says at the quota. */
export class QuotaReached extends Error {
  constructor() {
    super('The quota is reached.');
    this.name = 'QuotaExceededError';
  }
}

/** The disk itself: several pages of one tablet share it. */
export class MemoryDisk {
  /** @param {(after_ms: number) => Promise<void>} passed virtual time */
  constructor(passed) {
    this.passed = passed;
    /** @type {Map<string, Map<string, {key: any, value: any, size: number}>>} */
    this.stores = new Map(Object.keys(STORES).map((name) => [name, new Map()]));
    this.bytes = 0;
    this.quota_bytes = Infinity;
    this.commits = 0;
    /** @type {(commit: number) => Error | null} says whether this commit fails */
    this.failing = () => null;
    /** @type {(commit: number) => boolean} says whether the connection drops after this commit, before its report */
    this.dropping = () => false;
    this.drops = 0;
    /** @type {() => number} */
    this.slowness_ms = () => 0;
    /** @type {((writes: Write[]) => void)[]} */
    this.watchers = [];
    /** @type {Promise<void>} the transactions wait in a row */
    this.row = Promise.resolve();
  }

  /** @param {string} name @param {any} key */
  read(name, key) {
    return this.stores.get(name)?.get(textOf(key))?.value;
  }

  /** All values of a store in the order of their keys. @param {string} name */
  values(name) {
    return sorted(this.stores.get(name) ?? new Map()).map(({ value }) => value);
  }

  /** @param {Write[]} writes */
  commit(writes) {
    this.commits += 1;
    const fault = this.failing(this.commits);
    if (fault) throw fault;
    let growth = 0;
    for (const { name, key, value, gone } of writes) {
      growth += (gone ? 0 : sizeOf(value)) - (this.stores.get(name)?.get(textOf(key))?.size ?? 0);
    }
    if (growth > 0 && this.bytes + growth > this.quota_bytes) throw new QuotaReached();
    for (const { name, key, value, gone } of writes) {
      const store = /** @type {Map<string, any>} */ (this.stores.get(name));
      const text = textOf(key);
      this.bytes -= store.get(text)?.size ?? 0;
      if (gone) store.delete(text);
      else {
        const size = sizeOf(value);
        store.set(text, { key, value, size });
        this.bytes += size;
      }
    }
    for (const watcher of this.watchers) watcher(writes);
    if (!this.dropping(this.commits)) return;
    this.drops += 1;
    throw new Error('The connection to the disk was lost.');
  }
}

/** One page's handle on the disk. A dead page's transaction is as if it had never begun. */
export class DiskHandle {
  /**
   * @param {MemoryDisk} disk
   * @param {() => boolean} lives asked at each point at which the page may die: false from its death on
   */
  constructor(disk, lives) {
    this.disk = disk;
    this.lives = lives;
  }

  /**
   * @template T
   * @param {string[]} names
   * @param {'readonly' | 'readwrite'} mode
   * @param {(tx: any) => Promise<T> | T} work
   * @returns {Promise<T>}
   */
  async run(names, mode, work) {
    const before = this.disk.row;
    /** @type {() => void} */
    let release = () => {};
    this.disk.row = new Promise((kept) => {
      release = kept;
    });
    await before;
    try {
      return await this.tried(names, mode, work);
    } catch (fault) {
      if (!(fault instanceof Died)) throw fault;
    } finally {
      release();
    }
    return new Promise(() => {}); // nobody is left to be told
  }

  /** As core/disk.js: a lost write is done again once, a full disk is told at once. @template T @param {string[]} names @param {string} mode @param {(tx: any) => Promise<T> | T} work @returns {Promise<T>} */
  async tried(names, mode, work) {
    for (let attempt = 1; ; attempt += 1) {
      if (!this.lives()) throw new Died();
      const tx = new Transaction(this.disk, names, mode);
      const result = await tx.worked(work);
      if (tx.writes.size === 0) return result;
      const wait_ms = this.disk.slowness_ms();
      if (wait_ms > 0) await this.disk.passed(wait_ms);
      if (!this.lives()) throw new Died(); // before the commit
      try {
        this.disk.commit([...tx.writes.values()]);
      } catch (fault) {
        const full = fault instanceof QuotaReached;
        if (full || attempt === 2) throw new DiskFailed('The disk of this tablet refused.', { cause: fault, full });
        continue;
      }
      if (!this.lives()) throw new Died(); // between the commit and its report
      return result;
    }
  }
}

/** A page died in the middle. */
class Died extends Error {}

class Transaction {
  /** @param {MemoryDisk} disk @param {string[]} names @param {string} mode */
  constructor(disk, names, mode) {
    this.disk = disk;
    this.names = names;
    this.mode = mode;
    this.done = false;
    /** @type {Map<string, Write>} */
    this.writes = new Map();
  }

  /** @template T @param {(tx: any) => Promise<T> | T} work */
  async worked(work) {
    let timedOut = false;
    process.nextTick(() => {
      timedOut = !this.done; // all code is at rest: a browser ends a transaction now of which nothing was asked
    });
    const result = await work(this);
    this.done = true;
    if (timedOut) throw new Error('The transaction ended while its work awaited something else.');
    return result;
  }

  /** @param {string} name @param {any} key */
  async get(name, key) {
    this.open(name);
    const write = this.writes.get(`${name} ${textOf(key)}`);
    if (write) return write.gone ? undefined : copied(write.value);
    return copied(this.disk.read(name, key));
  }

  /** @param {string} name @param {any} value */
  async put(name, value) {
    this.openToWrite(name);
    const path = /** @type {Record<string, any>} */ (STORES)[name];
    const key = Array.isArray(path) ? path.map((part) => value[part]) : value[path];
    this.writes.set(`${name} ${textOf(key)}`, { name, key, value: copied(value), gone: false });
  }

  /** @param {string} name @param {any} key */
  async delete(name, key) {
    this.openToWrite(name);
    this.writes.set(`${name} ${textOf(key)}`, { name, key, value: undefined, gone: true });
  }

  /** @param {string} name @param {[any, any]} [range] */
  async all(name, range) {
    this.open(name);
    return this.rows(name)
      .filter(({ key }) => !range || (order(range[0], key) <= 0 && order(key, range[1]) <= 0))
      .map(({ value }) => copied(value));
  }

  /** @param {string} name */
  async count(name) {
    this.open(name);
    return this.rows(name).length;
  }

  /** @param {string} name */
  async lastKey(name) {
    this.open(name);
    return this.rows(name).at(-1)?.key;
  }

  /** @param {string} name */
  rows(name) {
    const store = this.disk.stores.get(name) ?? new Map();
    if (this.writes.size === 0) return sorted(store);
    const seen = new Map(store);
    for (const write of this.writes.values()) {
      if (write.name !== name) continue;
      if (write.gone) seen.delete(textOf(write.key));
      else seen.set(textOf(write.key), write);
    }
    return sorted(seen);
  }

  /** @param {string} name */
  open(name) {
    if (this.done) throw new Error('The transaction has ended.');
    if (!this.names.includes(name)) throw new Error(`Store ${name} is not in this transaction.`);
  }

  /** @param {string} name */
  openToWrite(name) {
    this.open(name);
    if (this.mode !== 'readwrite') throw new Error('This transaction only reads.');
  }
}

/** @param {Map<string, {key: any, value: any}>} store */
function sorted(store) {
  return [...store.values()].sort((one, other) => order(one.key, other.key));
}

/** As IndexedDB orders keys: numbers before texts, lists part by part. @param {any} one @param {any} other @returns {number} */
function order(one, other) {
  if (Array.isArray(one) && Array.isArray(other)) {
    for (let part = 0; part < Math.min(one.length, other.length); part += 1) {
      const difference = order(one[part], other[part]);
      if (difference !== 0) return difference;
    }
    return one.length - other.length;
  }
  if (typeof one === 'number' && typeof other === 'number') return one - other;
  if (typeof one === 'number') return -1;
  if (typeof other === 'number') return 1;
  return one < other ? -1 : one > other ? 1 : 0;
}

/** @param {any} key */
function textOf(key) {
  return typeof key === 'string' ? key : JSON.stringify(key);
}

/** A copy of a value as the browser's disk takes one: later changes in memory do not reach it. @param {any} value @returns {any} */
export function copied(value) {
  if (value === null || typeof value !== 'object') {
    if (typeof value === 'function') throw new TypeError('A function cannot be stored.');
    return value;
  }
  if (value instanceof ArrayBuffer) return value.slice(0);
  if (ArrayBuffer.isView(value)) return /** @type {Uint8Array} */ (value).slice();
  if (Array.isArray(value)) return value.map(copied);
  /** @type {Record<string, any>} */
  const copy = {};
  for (const key in value) copy[key] = copied(value[key]);
  return copy;
}

/** About how many bytes a value takes. @param {any} value @returns {number} */
function sizeOf(value) {
  if (typeof value === 'string') return value.length;
  if (value === null || typeof value !== 'object') return 8;
  if (value instanceof ArrayBuffer || ArrayBuffer.isView(value)) return value.byteLength;
  let size = 8;
  for (const key in value) size += key.length + sizeOf(value[key]);
  return size;
}
