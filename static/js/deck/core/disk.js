/**
 * What stands on the tablet's disk, and is it there already? Runs work in one transaction over named stores and resolves
 * only after the transaction has completed, strictly durable; a dropped connection is reopened and the work replayed.
 */

/** The stores and the key of each. */
export const STORES = /** @type {Record<string, string | string[]>} */ ({
  meta: 'key', entries: 'id', outbox: 'device_seq', blobs: 'digest', bytes: 'digest', drafts: 'id', steps: ['draft', 'n'], acts: 'n', pack: 'name', round: 'key',
});
const VERSION = 1;
const TRIES = 2;
/** A call or commit that says nothing for so long hangs: some browsers leave one so after the page was in the background. */
export const PATIENCE_MS = 20_000;

/**
 * What work may await inside a transaction; anything else would end it.
 * @typedef {object} Tx
 * @property {(store: string, key: any) => Promise<any>} get
 * @property {(store: string, value: any) => Promise<any>} put
 * @property {(store: string, key: any) => Promise<any>} delete
 * @property {(store: string, range?: [any, any]) => Promise<any[]>} all in the order of the keys, bounds included
 * @property {(store: string) => Promise<number>} count
 * @property {(store: string) => Promise<any>} lastKey undefined when the store is empty
 *
 * @typedef {object} Disk
 * @property {<T>(stores: string[], mode: 'readonly' | 'readwrite', work: (tx: Tx) => Promise<T> | T) => Promise<T>} run
 */

/** The disk refused twice, or is full: what was to be kept is not kept. */
export class DiskFailed extends Error {
  /** @param {string} message @param {{cause?: unknown, full?: boolean}} [options] */
  constructor(message, { cause, full = false } = {}) {
    super(message, { cause });
    this.name = 'DiskFailed';
    this.full = full;
  }
}

/** The disk of a browser. */
export class IdbDisk {
  /**
   * @param {object} options
   * @param {typeof import('idb').openDB} options.openDB
   * @param {string} options.name
   * @param {(error: DiskFailed) => void} [options.onTrouble]
   * @param {import('./platform.js').Platform['later']} [options.later] without it a disk that hangs is waited for without end
   */
  constructor({ openDB, name, onTrouble = () => {}, later = () => () => {} }) {
    this.openDB = openDB;
    this.name = name;
    this.onTrouble = onTrouble;
    this.later = later;
    /** @type {Promise<any> | null} */
    this.opening = null;
  }

  /**
   * @template T
   * @param {string[]} stores
   * @param {'readonly' | 'readwrite'} mode
   * @param {(tx: Tx) => Promise<T> | T} work may run twice: what the first run wrote is then undone, or already there
   * @returns {Promise<T>}
   */
  async run(stores, mode, work) {
    /** @type {unknown} */
    let last;
    for (let attempt = 0; attempt < TRIES; attempt += 1) {
      try {
        return await this.attempt(stores, mode, work);
      } catch (error) {
        if (error instanceof WorkFailed) throw error.cause;
        last = error;
        if (isFull(error)) break;
        await this.drop();
      }
    }
    const failed = last instanceof DiskFailed ? last : new DiskFailed(wordsFor(last), { cause: last, full: isFull(last) });
    this.onTrouble(failed);
    throw failed;
  }

  /** Let the database go, for instance before it is deleted. */
  async close() {
    await this.drop();
  }

  /** @private @template T @param {string[]} stores @param {'readonly' | 'readwrite'} mode @param {(tx: Tx) => Promise<T> | T} work */
  async attempt(stores, mode, work) {
    const database = await this.open();
    const transaction = database.transaction(stores, mode, { durability: 'strict' });
    const done = transaction.done;
    done.catch(() => {}); // told below; unheard it would count as an unhandled rejection
    /** @type {{fault: unknown}} */
    const asked = { fault: null };
    let result;
    try {
      result = await work(callsOf(transaction, { asked, inTime: (call) => this.inTime(call) }));
    } catch (error) {
      abort(transaction);
      if (asked.fault !== null) throw isFull(transaction.error) ? transaction.error : asked.fault;
      throw new WorkFailed(error);
    }
    await this.inTime(done);
    return result;
  }

  /** @private @template T @param {Promise<T>} call @returns {Promise<T>} */
  inTime(call) {
    return new Promise((resolve, reject) => {
      const cancel = this.later(() => reject(new Error('The disk does not answer.')), PATIENCE_MS);
      call.then(resolve, reject).finally(cancel);
    });
  }

  /** @private @returns {Promise<any>} */
  open() {
    this.opening ??= this.reopen().catch((error) => {
      this.opening = null;
      throw error;
    });
    return this.opening;
  }

  /** @private @returns {Promise<any>} */
  reopen() {
    return new Promise((resolve, reject) => {
      const forget = () => { this.opening = null; };
      let isBlocked = false;
      const blocked = () => {
        isBlocked = true;
        forget();
        reject(new DiskFailed('Another page of the deck, older than this one, keeps the tablet’s disk. Close the other page; nothing is lost.'));
      };
      this.openDB(this.name, VERSION, {
        upgrade: makeStores,
        blocked,
        blocking: (_current, _wanted, event) => { forget(); /** @type {IDBDatabase} */ (event.target).close(); },
        terminated: forget,
      }).then((database) => {
        if (!isBlocked) resolve(database);
        else if (this.opening) database.close();
        else this.opening = Promise.resolve(database); // the other page was closed meanwhile
      }, reject);
    });
  }

  /** @private */
  async drop() {
    const { opening } = this;
    this.opening = null;
    try {
      (await opening)?.close();
    } catch {
      // It never opened: there is nothing to close.
    }
  }
}

/** What the work itself threw: no fault of the disk, and not to be tried again. */
class WorkFailed extends Error {
  /** @param {unknown} cause */
  constructor(cause) {
    super('The work failed.', { cause });
  }
}

/** @param {any} transaction @param {{asked: {fault: unknown}, inTime: <T>(call: Promise<T>) => Promise<T>}} options @returns {Tx} */
function callsOf(transaction, { asked, inTime }) {
  /** @param {string} store @param {(store: any) => Promise<any>} ask */
  const call = async (store, ask) => {
    try {
      return await inTime(ask(transaction.objectStore(store)));
    } catch (error) {
      asked.fault ??= error;
      throw error;
    }
  };
  return {
    get: (store, key) => call(store, (from) => from.get(key)),
    put: (store, value) => call(store, (into) => into.put(value)),
    delete: (store, key) => call(store, (from) => from.delete(key)),
    all: (store, range) => call(store, (from) => from.getAll(range && IDBKeyRange.bound(range[0], range[1]))),
    count: (store) => call(store, (from) => from.count()),
    lastKey: (store) => call(store, async (from) => (await from.openKeyCursor(null, 'prev'))?.key),
  };
}

/** @param {any} database */
function makeStores(database) {
  for (const [store, keyPath] of Object.entries(STORES)) {
    if (!database.objectStoreNames.contains(store)) database.createObjectStore(store, { keyPath });
  }
}

/** @param {any} transaction */
function abort(transaction) {
  try {
    transaction.abort();
  } catch {
    // It has ended already; its own promise says how.
  }
}

/** @param {any} error */
function isFull(error) {
  return error?.name === 'QuotaExceededError' || error?.full === true;
}

/** @param {any} error */
function wordsFor(error) {
  if (isFull(error)) return 'The disk of this tablet is full. Free room on the tablet (its photographs, other applications), then do it again.';
  if (error?.name === 'VersionError') return 'A newer page of the deck has been opened on this tablet. Close this one and open the deck again.';
  return `The disk of this tablet refused twice (${error?.name ?? 'error'}: ${error?.message ?? error}).`;
}
