/**
 * Which write of the browser's store fails, and how? Reaches into the store in memory as a browser's own faults would:
 * a write that aborts, a commit that fails after every write reported success, a call that throws, a lost connection.
 */
import 'fake-indexeddb/auto';

export const WAYS = /** @type {const} */ (['aborts', 'throws', 'fails at commit', 'full at commit', 'loses the connection']);

/** @typedef {typeof WAYS[number]} Way */

/** What the test decides: the number of the write, the way, and whether all later writes fail too. */
export const faults = { writes: 0, at: Infinity, /** @type {Way} */ way: 'aborts', lasting: false, struck: 0 };

/** @param {{at?: number, way?: Way, lasting?: boolean}} [wanted] */
export function failWrites({ at = Infinity, way = 'aborts', lasting = false } = {}) {
  Object.assign(faults, { writes: 0, at, way, lasting, struck: 0 });
}

for (const name of /** @type {const} */ (['put', 'delete'])) {
  const original = /** @type {any} */ (IDBObjectStore.prototype)[name];
  /** @type {any} */ (IDBObjectStore.prototype)[name] = function faulty(/** @type {any[]} */ ...request) {
    faults.writes += 1;
    const strikes = faults.lasting ? faults.writes >= faults.at : faults.writes === faults.at;
    if (!strikes) return original.apply(this, request);
    faults.struck += 1;
    return STRIKES[faults.way](this.transaction, () => original.apply(this, request));
  };
}

/** @type {Record<Way, (transaction: any, write: () => any) => any>} */
const STRIKES = {
  aborts: (transaction, write) => {
    const request = write();
    transaction._abort('UnknownError');
    return request;
  },
  throws: () => {
    throw new DOMException('The write failed.', 'InvalidStateError');
  },
  'fails at commit': (transaction, write) => {
    doom(transaction, 'UnknownError');
    return write();
  },
  'full at commit': (transaction, write) => {
    doom(transaction, 'QuotaExceededError');
    return write();
  },
  'loses the connection': (transaction, write) => {
    const request = write();
    transaction._abort('AbortError');
    transaction.db.close();
    return request;
  },
};

/** Every write of the transaction succeeds, and the commit fails. @param {any} transaction @param {string} reason */
function doom(transaction, reason) {
  const { _start } = Object.getPrototypeOf(transaction);
  transaction._start = function start() {
    if (this._requests.length === 0 && this._state !== 'finished') this._abort(reason);
    else _start.call(this);
  };
}
