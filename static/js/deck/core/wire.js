/**
 * How does the tablet speak with the server? Five calls; each gives the status and the body as JSON, and throws when the
 * network fails or the call takes too long. It judges nothing.
 */

/**
 * @typedef {{status: number, body: any}} Answer body null when it was no JSON
 *
 * @typedef {object} Wire
 * @property {(body: any) => Promise<Answer>} push
 * @property {(after: number) => Promise<Answer>} pull
 * @property {(digest: string) => Promise<Answer>} blobState
 * @property {(part: {digest: string, offset: number, total: number, bytes: Uint8Array, mime: string}) => Promise<Answer>} blobPart
 * @property {() => Promise<Answer>} session
 */

export const CALL_LIMIT_MS = 8000;
const SESSION_URL = '/api/v1/session/';
const PAGE_LIMIT = 200;

/** The wire over HTTP. */
export class HttpWire {
  /**
   * @param {object} options
   * @param {string} options.base address of this tablet on the server, with the slash at its end
   * @param {typeof fetch} options.fetcher
   * @param {() => string} options.token the CSRF token
   * @param {number} [options.timeout_ms]
   */
  constructor({ base, fetcher, token, timeout_ms = CALL_LIMIT_MS }) {
    this.base = base;
    this.fetcher = fetcher;
    this.token = token;
    this.timeout_ms = timeout_ms;
  }

  /** @param {any} body */
  push(body) {
    return this.call(`${this.base}push/`, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body) });
  }

  /** @param {number} after */
  pull(after) {
    return this.call(`${this.base}pull/?after=${after}&limit=${PAGE_LIMIT}`);
  }

  /** @param {string} digest */
  blobState(digest) {
    return this.call(`${this.base}blobs/${digest}`);
  }

  /** @param {{digest: string, offset: number, total: number, bytes: Uint8Array, mime: string}} part */
  blobPart({ digest, offset, total, bytes, mime }) {
    const headers = { 'Content-Type': 'application/octet-stream', 'X-Photograph-Type': mime };
    return this.call(`${this.base}blobs/${digest}?offset=${offset}&total=${total}`, { method: 'PUT', headers, body: /** @type {any} */ (bytes) });
  }

  session() {
    return this.call(SESSION_URL);
  }

  /** @private @param {string} url @param {RequestInit & {headers?: Record<string, string>}} [request] @returns {Promise<Answer>} */
  async call(url, { headers = {}, ...request } = {}) {
    const response = await this.fetcher(url, {
      credentials: 'same-origin',
      cache: 'no-store',
      redirect: 'manual',
      signal: AbortSignal.timeout(this.timeout_ms),
      ...request,
      headers: { Accept: 'application/json', 'X-CSRFToken': this.token(), ...headers },
    });
    const text = await response.text();
    return { status: response.status, body: parsed(text) };
  }
}

/** @param {string} text */
function parsed(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}
