/**
 * What does the network do to a call? The tablet's wire over the fake server, with losses, repeats, delays, cuts and
 * strangers that answer in its place. A request under way reaches the server even when its page has died.
 */

import { copied } from './memory_disk.mjs';

/** After so long a call ends, as the shipped wire ends it. */
const CALL_ENDS_MS = 8000;

export const NETWORK_FAULTS = /** @type {const} */ ([
  'offline',
  'request lost',
  'response lost',
  'sent twice',
  'late',
  'cut request',
  'cut response',
  'server killed before commit',
  'server killed after commit',
  'server busy',
  'bad gateway',
  'token stale',
  'stranger answers',
  'request garbled',
  'receipt garbled',
]);

/** @typedef {import('./fake_server.mjs').Answer} Answer */
/** @typedef {(change?: (text: string) => string) => Answer} Apply */

/** The Wire of core/wire.js for one page. */
export class FaultyWire {
  /**
   * @param {object} options
   * @param {import('./virtual_time.mjs').VirtualTime} options.time
   * @param {import('./fake_server.mjs').FakeServer} options.server
   * @param {import('./random.mjs').Chance} options.chance
   * @param {import('./page.mjs').Page} options.page
   * @param {{fault: () => string | null, note: (text: string) => void}} options.weather
   */
  constructor({ time, server, chance, page, weather }) {
    this.time = time;
    this.server = server;
    this.chance = chance;
    this.page = page;
    this.weather = weather;
  }

  /** @param {any} body */
  push(body) {
    const text = JSON.stringify(body);
    return this.call('push', (change) => this.server.push({ ...this.sender(), text: change ? change(text) : text }));
  }

  /** @param {number} after */
  pull(after) {
    return this.call('pull', () => this.server.pull({ ...this.sender(), after }));
  }

  /** @param {string} digest */
  blobState(digest) {
    return this.call('blobState', () => this.server.blobState({ ...this.sender(), digest }));
  }

  /** @param {{digest: string, offset: number, total: number, bytes: ArrayBuffer | Uint8Array, mime: string}} part */
  blobPart({ digest, offset, total, bytes }) {
    const sent = new Uint8Array(bytes).slice();
    const whole = { digest, offset, total, bytes: sent };
    return this.call('blobPart', (change) => this.server.blobPart({ ...this.sender(), ...whole, bytes: change ? cut(sent, change) : sent }), () => this.server.blobPart({ ...this.sender(), ...whole, isStopped: true }));
  }

  session() {
    return this.call('session', () => this.server.session(this.page.tablet.account));
  }

  sender() {
    return { account: this.page.tablet.account, tablet: this.page.tablet.id };
  }

  /** @param {string} name @param {Apply} apply @param {() => void} [beforeCommit] what a server that is stopped before its commit leaves @returns {Promise<Answer>} */
  async call(name, apply, beforeCommit = () => {}) {
    await this.page.step();
    const fault = this.weather.fault();
    this.weather.note(`${this.page.name} ${name}${fault ? `: ${fault}` : ''}`);
    this.page.speaks();
    try {
      return await this.under(fault, apply, beforeCommit);
    } finally {
      this.page.calls -= 1;
      await this.page.step();
    }
  }

  /** @param {string | null} fault @param {Apply} apply @param {() => void} beforeCommit @returns {Promise<Answer>} */
  async under(fault, apply, beforeCommit) {
    const there_ms = this.chance.under(400);
    if (fault === null) {
      await this.time.passed(there_ms);
      return asSent(apply());
    }
    if (fault === 'offline') throw new TypeError('Failed to fetch');
    if (ANSWERED.has(fault)) {
      await this.time.passed(there_ms);
      return this.answered(fault, apply);
    }
    if (fault === 'server killed before commit') this.time.later(beforeCommit, there_ms);
    else if (fault !== 'request lost') {
      const on_the_way_ms = fault === 'late' ? CALL_ENDS_MS + this.chance.under(60_000) : there_ms;
      const change = fault === 'cut request' ? this.cutter() : undefined;
      this.time.later(() => apply(change), on_the_way_ms);
    }
    await this.time.passed(SLOW.has(fault) ? CALL_ENDS_MS : there_ms);
    throw new TypeError(`Failed to fetch (${fault})`);
  }

  /** @param {string} fault @param {Apply} apply @returns {Answer} */
  answered(fault, apply) {
    if (fault === 'server busy') return { status: 503, body: { message: 'The database is busy.', field: null } };
    if (fault === 'token stale') return { status: 403, body: { message: 'This page must be loaded again.', field: null } };
    if (fault === 'bad gateway') return { status: 502, body: null };
    if (fault === 'stranger answers') return { status: 200, body: this.chance.happens(0.5) ? {} : null };
    if (fault === 'request garbled') return asSent(apply(garbled));
    if (fault === 'receipt garbled') return misread(asSent(apply()));
    const answer = asSent(apply()); // sent twice: the second one comes when it comes
    this.time.later(() => apply(), this.chance.under(90_000));
    return answer;
  }

  /** @returns {(text: string) => string} */
  cutter() {
    const at = this.chance.part();
    return (text) => text.slice(0, Math.floor(text.length * at));
  }
}

const ANSWERED = new Set(['server busy', 'bad gateway', 'token stale', 'stranger answers', 'request garbled', 'receipt garbled', 'sent twice']);
const SLOW = new Set(['request lost', 'response lost', 'late']);

/** An answer as it comes out of the network: nothing in it is the server's own memory. @param {Answer} answer @returns {Answer} */
function asSent({ status, body }) {
  return { status, body: copied(body) };
}

/** A text in which one statement says something else. @param {string} text */
function garbled(text) {
  return text.replace('"note":"', '"note":"?');
}

/** An answer about other bytes than were sent. @param {Answer} answer @returns {Answer} */
function misread({ status, body }) {
  for (const receipt of body?.receipts ?? []) receipt.digest = receipt.digest.replace(/^./, (/** @type {string} */ first) => (first === '0' ? '1' : '0'));
  return { status, body: Number.isInteger(body?.held) ? { ...body, digest: 'f'.repeat(64), complete: true } : body };
}

/** @param {Uint8Array} bytes @param {(text: string) => string} change */
function cut(bytes, change) {
  const length = change('x'.repeat(bytes.length)).length;
  if (length >= bytes.length) return bytes.map((byte, place) => (place === 0 ? byte ^ 1 : byte));
  return bytes.slice(0, length);
}
