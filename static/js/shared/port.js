/**
 * How does a statement reach the record? One port, appendEntry(draft): "saved" is said only after the server's receipt.
 * It keeps the order of entries, tries again when the network fails, and never sends under a new identity.
 */
import { uuid7 } from './uuid.js';

/**
 * @typedef {object} EntryDraft
 * @property {string} [id] UUIDv7, given here when missing
 * @property {string} object_id
 * @property {string} kind
 * @property {number} [kind_version]
 * @property {object} body
 * @property {string[]} [parents]
 * @property {string} [observed_by]
 * @property {string} [recorded_by]
 * @property {string} [made_at]
 *
 * @typedef {object} Receipt
 * @property {string} id
 * @property {number} seq
 * @property {string} status stored, already there, stored as conflict or set aside
 * @property {string} [message]
 * @property {any} [outline]
 * @property {any} [examination]
 *
 * @typedef {object} PortStatus
 * @property {'saved' | 'saving' | 'waiting' | 'refused'} state
 * @property {number} unsaved how many entries have no receipt yet
 * @property {string} message
 */

/** The entry was refused; nothing of it is in the record. */
export class EntryRefused extends Error {
  /** @param {string} message @param {string | null} field @param {number} status */
  constructor(message, field, status) {
    super(message);
    this.field = field;
    this.status = status;
  }
}

const RETRY_AFTER_MS = [1000, 2000, 5000, 10_000, 30_000];

/** The desk's port: entries go to the server over HTTP, one request at a time. */
export class HttpPort {
  /**
   * @param {object} options
   * @param {string} options.entriesUrl
   * @param {(status: PortStatus) => void} options.onStatus
   * @param {typeof fetch} [options.fetcher]
   * @param {(work: () => void, ms: number) => unknown} [options.later]
   * @param {() => string} [options.token] the CSRF token
   */
  constructor({ entriesUrl, onStatus, fetcher = (...request) => fetch(...request), later = (work, ms) => setTimeout(work, ms), token = csrfToken }) {
    this.entriesUrl = entriesUrl;
    this.onStatus = onStatus;
    this.fetcher = fetcher;
    this.later = later;
    this.token = token;
    /** @type {{drafts: EntryDraft[], resolve: (receipts: Receipt[]) => void, reject: (error: Error) => void}[]} */
    this.queue = [];
    this.sending = false;
    this.failures = 0;
  }

  /** How many entries have no receipt yet. */
  get unsaved() {
    return this.queue.reduce((sum, batch) => sum + batch.drafts.length, 0);
  }

  /**
   * Send one statement; resolves with the server's receipt, rejects with EntryRefused.
   * @param {EntryDraft} draft
   * @returns {Promise<Receipt>}
   */
  async appendEntry(draft) {
    const [receipt] = await this.appendEntries([draft]);
    return receipt;
  }

  /**
   * Send several statements that stand or fall together.
   * @param {EntryDraft[]} drafts
   * @returns {Promise<Receipt[]>}
   */
  appendEntries(drafts) {
    const complete = drafts.map((draft) => ({ kind_version: 1, parents: [], made_at: new Date().toISOString(), ...draft, id: draft.id ?? uuid7() }));
    return new Promise((resolve, reject) => {
      this.queue.push({ drafts: complete, resolve, reject });
      void this.sendNext();
    });
  }

  /** Try at once what waits, for instance when the network is back. */
  tryAgain() {
    if (!this.sending) void this.sendNext();
  }

  /** @private */
  async sendNext() {
    const batch = this.queue[0];
    if (this.sending || !batch) return;
    this.sending = true;
    this.say('saving', 'Saving');
    try {
      const receipts = await this.send(batch.drafts);
      this.queue.shift();
      this.failures = 0;
      batch.resolve(receipts);
      this.sayReceipts(receipts);
    } catch (error) {
      if (error instanceof EntryRefused) {
        this.queue.shift();
        batch.reject(error);
        this.say('refused', 'The last statement was refused and is not saved');
      } else {
        this.waitAndRetry();
      }
    } finally {
      this.sending = false;
    }
    if (this.queue.length && !this.failures) void this.sendNext();
  }

  /** @private @param {EntryDraft[]} drafts @returns {Promise<Receipt[]>} */
  async send(drafts) {
    const response = await this.fetcher(this.entriesUrl, {
      method: 'POST',
      credentials: 'same-origin',
      headers: { 'Content-Type': 'application/json', Accept: 'application/json', 'X-CSRFToken': this.token() },
      body: JSON.stringify({ entries: drafts }),
    });
    // Only these may pass by themselves; any other refusal would be refused again.
    if ([408, 425, 429, 500, 502, 503, 504].includes(response.status)) throw new Error(`The server answered ${response.status}.`);
    const answer = await response.json().catch(() => null);
    if (!response.ok) {
      throw new EntryRefused(answer?.message ?? refusalWithoutWords(response.status), answer?.field ?? null, response.status);
    }
    if (!Array.isArray(answer?.receipts) || answer.receipts.length !== drafts.length) throw new Error('The server gave no receipt.');
    return answer.receipts;
  }

  /** @private */
  waitAndRetry() {
    const wait_ms = RETRY_AFTER_MS[Math.min(this.failures, RETRY_AFTER_MS.length - 1)];
    this.failures += 1;
    this.say('waiting', `Not saved: the server cannot be reached. Kept on this page; trying again in ${wait_ms / 1000} s`);
    this.later(() => this.tryAgain(), wait_ms);
  }

  /** @private @param {Receipt[]} receipts */
  sayReceipts(receipts) {
    const odd = receipts.find((receipt) => receipt.status === 'set aside' || receipt.status === 'stored as conflict');
    if (odd?.status === 'set aside') this.say('refused', `Set aside for the lead conservator: ${odd.message ?? 'the entry could not be read'}`);
    else if (odd) this.say('saved', 'Saved as a conflict: another statement about the same thing stands beside this one until a person decides');
    else this.say(this.queue.length ? 'saving' : 'saved', this.queue.length ? 'Saving' : `Saved as entry ${receipts[receipts.length - 1].seq}`);
  }

  /** @private @param {PortStatus['state']} state @param {string} message */
  say(state, message) {
    this.onStatus({ state, message, unsaved: this.unsaved });
  }
}

/**
 * The CSRF token of the page, from its cookie or from the page's own form.
 * @returns {string}
 */
export function csrfToken() {
  const cookie = document.cookie.split('; ').find((pair) => /^[\w-]*csrftoken=/.test(pair));
  if (cookie) return decodeURIComponent(cookie.split('=').slice(1).join('='));
  const field = /** @type {HTMLInputElement | null} */ (document.querySelector('input[name=csrfmiddlewaretoken]'));
  return field?.value ?? '';
}

/** @param {number} status */
function refusalWithoutWords(status) {
  if (status === 403) return 'this account may not record here, or the sign-in has run out. Open the sign-in page in another tab, then try again';
  if (status === 413) return 'the outline has too many points for one entry. Draw it in parts';
  return `the server refused the entry (${status})`;
}
