/**
 * How does the deck page ask the server for what it needs before it goes up: session, surveys, pack? Every call ends after
 * a limit and fails in words; nothing of the record goes this way.
 */

export const LIMIT_MS = 8000;

/** The server said no, or could not be asked; the message is for the person at the tablet. */
export class Refused extends Error {
  /** @param {string} message @param {number} status 0 when there was no answer */
  constructor(message, status) {
    super(message);
    this.status = status;
  }
}

/**
 * @typedef {object} SessionAnswer
 * @property {boolean} signed_in
 * @property {{username: string, name: string} | null} account
 * @property {string | null} server_time
 */

export class DeckApi {
  /** @param {{fetcher: typeof fetch, token: () => string, limit_ms?: number}} options */
  constructor({ fetcher, token, limit_ms = LIMIT_MS }) {
    this.fetcher = fetcher;
    this.token = token;
    this.limit_ms = limit_ms;
  }

  /** @returns {Promise<SessionAnswer>} */
  session() {
    return this.ask('/api/v1/session/');
  }

  /** Sign in; the page stays where it is. @param {string} username @param {string} password @returns {Promise<SessionAnswer>} */
  async signIn(username, password) {
    // The session answer also brings the token that the sign-in needs.
    if (!this.token()) await this.session();
    return this.ask('/api/v1/session/', { username, password });
  }

  /** @returns {Promise<{walls: {slug: string, name: string, surveys: {code: string, kind: string, state: string, starts_on: string}[]}[]}>} */
  choices() {
    return this.ask('/api/v1/tablets/choices/');
  }

  /**
   * @param {{wall: string, survey: string, name: string, device: string}} tablet
   * @returns {Promise<{tablet: {id: string, name: string, wall: string, survey: string}, epoch: string, next_device_seq: number}>}
   */
  enrol(tablet) {
    return this.ask('/api/v1/tablets/', tablet);
  }

  /** @private @param {string} path @param {object} [body] @returns {Promise<any>} */
  async ask(path, body) {
    const headers = { Accept: 'application/json', ...(body ? { 'Content-Type': 'application/json', 'X-CSRFToken': this.token() } : {}) };
    const response = await this.reach(path, { method: body ? 'POST' : 'GET', headers, body: body ? JSON.stringify(body) : undefined });
    const answer = await response.json().catch(() => null);
    if (!response.ok) throw new Refused(answer?.message ?? `The server answered ${response.status}. Try again, or ask who runs it.`, response.status);
    return answer;
  }

  /**
   * Load bytes and tell how many have come; the limit counts from the last piece, so that a large pack on a slow line arrives.
   * @param {string} path
   * @param {(received: number) => void} [onBytes]
   * @returns {Promise<ArrayBuffer>}
   */
  async load(path, onBytes = () => {}) {
    const ended = new AbortController();
    let timer = setTimeout(() => ended.abort(), this.limit_ms);
    try {
      const response = await this.reach(path, { method: 'GET' }, ended);
      if (!response.ok) throw new Refused((await response.json().catch(() => null))?.message ?? `The server answered ${response.status}.`, response.status);
      const pieces = [];
      let received = 0;
      for (const reader = /** @type {ReadableStream<Uint8Array<ArrayBuffer>>} */ (response.body).getReader(); ;) {
        const { done, value } = await reader.read();
        if (done) break;
        clearTimeout(timer);
        timer = setTimeout(() => ended.abort(), this.limit_ms);
        pieces.push(value);
        received += value.byteLength;
        onBytes(received);
      }
      return await new Blob(pieces).arrayBuffer();
    } catch (error) {
      throw error instanceof Refused ? error : new Refused('The network broke off while the pack was coming. What was on this tablet before is still there; try again.', 0);
    } finally {
      clearTimeout(timer);
    }
  }

  /** @private @param {string} path @param {RequestInit} request @param {AbortController} [ended] */
  async reach(path, request, ended) {
    try {
      return await this.fetcher(path, { credentials: 'same-origin', cache: 'no-store', signal: ended?.signal ?? AbortSignal.timeout(this.limit_ms), ...request });
    } catch {
      throw new Refused('The server cannot be reached from here. Go where there is network, then try again.', 0);
    }
  }
}
