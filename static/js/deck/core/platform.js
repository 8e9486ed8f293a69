/**
 * What does the client core take from the machine: clock, chance, timers, digests, locks among tabs, room on the disk?
 * Everything that a test replaces stands here and nowhere else in the core.
 */
import { uuid7 } from '../../shared/uuid.js';
import { sha256Hex } from './sha256.js';

/**
 * @typedef {object} Platform
 * @property {() => number} now_ms milliseconds since 1970 by this device's clock, which may be wrong
 * @property {() => string} uuid7
 * @property {(data: string | ArrayBuffer | Uint8Array) => Promise<string>} digestHex SHA-256
 * @property {() => number} random from 0 up to 1
 * @property {(work: () => void, ms: number) => (() => void)} later gives back what cancels it
 * @property {<T>(name: string, work: () => Promise<T>) => Promise<T | undefined>} withLock one at a time among tabs; undefined when another has it
 * @property {() => Promise<{usage: number, quota: number} | null>} [room] bytes used and allowed; null where the browser does not say
 * @property {(name: string, told: () => void) => (() => void)} [among] hears what other tabs of this page tell, and gives back what tells them
 */

/** @returns {Platform} */
export function browserPlatform() {
  return {
    now_ms: () => Date.now(),
    uuid7: () => uuid7(),
    digestHex,
    random: () => Math.random(),
    later: (work, ms) => {
      const timer = setTimeout(work, ms);
      return () => clearTimeout(timer);
    },
    withLock: navigator.locks ? lockAmongTabs : lockInPage(),
    room,
    among,
  };
}

/** @param {string | ArrayBuffer | Uint8Array} data */
async function digestHex(data) {
  const bytes = typeof data === 'string' ? new TextEncoder().encode(data) : new Uint8Array(/** @type {ArrayBuffer} */ (data));
  if (!globalThis.crypto?.subtle) return sha256Hex(bytes);
  const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return [...digest].map((byte) => byte.toString(16).padStart(2, '0')).join('');
}

/** @template T @param {string} name @param {() => Promise<T>} work @returns {Promise<T | undefined>} */
function lockAmongTabs(name, work) {
  return /** @type {Promise<any>} */ (navigator.locks.request(name, { ifAvailable: true }, (lock) => (lock ? work() : undefined)));
}

/** Pages served without TLS have no locks among tabs: there one page at a time is all that can be kept. */
function lockInPage() {
  /** @type {Set<string>} */
  const held = new Set();
  /** @template T @param {string} name @param {() => Promise<T>} work @returns {Promise<T | undefined>} */
  return async (name, work) => {
    if (held.has(name)) return undefined;
    held.add(name);
    try {
      return await work();
    } finally {
      held.delete(name);
    }
  };
}

/** @returns {Promise<{usage: number, quota: number} | null>} */
async function room() {
  const { usage, quota } = await navigator.storage?.estimate?.() ?? {};
  return usage === undefined || quota === undefined ? null : { usage, quota };
}

/** @param {string} name @param {() => void} told */
function among(name, told) {
  if (!globalThis.BroadcastChannel) return () => {};
  const channel = new BroadcastChannel(name);
  channel.onmessage = () => told();
  return () => channel.postMessage('changed');
}
