/**
 * When does the tablet speak with the server, and how does it stand? One round at a time among all tabs: on a timer with
 * jitter, after something was said, and when asked. Whatever is answered, nothing on the tablet is dropped.
 */
import { EpochChanged, Exchange, Hindered } from './exchange.js';
import { beginEpoch } from './received.js';

/**
 * @typedef {object} SyncState
 * @property {'idle' | 'sending' | 'waiting' | 'sign-in' | 'no-part' | 'retired' | 'offline'} phase
 * @property {number} unsent entries that the server has not acknowledged
 * @property {number} photographs_unsent
 * @property {number} set_aside own entries that wait for the lead conservator
 * @property {number | null} last_contact_ms by this tablet's clock
 * @property {number | null} skew_s how far this tablet's clock is ahead of the server's; null when the server does not say
 * @property {string | null} epoch
 * @property {string} message why it waits, in words
 * @property {string | null} survey_state
 */

export const PART_BYTES = 8 * 1024 * 1024;
/** Between rounds when all is well; after something was said; and between tries when not, doubled up to the longest [ms]. */
export const ROUND_EVERY_MS = 60_000;
export const SOON_MS = 2000;
export const FIRST_RETRY_MS = 5000;
export const LONGEST_RETRY_MS = 120_000;
const MOST_EPOCHS_A_ROUND = 3;
/** How often it is looked for what may leave the tablet. */
const FORGET_EVERY_MS = 12 * 3_600_000;

export class Sync {
  /**
   * @param {object} options
   * @param {import('./log.js').TabletLog} options.log
   * @param {import('./wire.js').Wire} options.wire
   * @param {import('./platform.js').Platform} options.platform
   * @param {(state: SyncState) => void} [options.onState]
   * @param {number} [options.part_bytes]
   */
  constructor({ log, wire, platform, onState = () => {}, part_bytes = PART_BYTES }) {
    this.log = log;
    this.platform = platform;
    this.onState = onState;
    this.exchange = new Exchange({ log, wire, platform, part_bytes, onContact: (contact) => this.heard(contact) });
    /** @type {SyncState} */
    this.state = { phase: 'idle', ...this.counts(), last_contact_ms: log.contact_ms, skew_s: null, epoch: log.enrolment()?.epoch ?? null, message: '', survey_state: null };
    /** @private */
    this.failures = 0;
    /** @private */
    this.isRetired = false;
    /** @private */
    this.forgot_ms = -Infinity;
    /** @private @type {Promise<void> | null} */
    this.running = null;
    /** @private */
    this.again = false;
    /** @private */
    this.started = false;
    /** @private @type {(() => void) | null} */
    this.cancel = null;
    /** @private */
    this.due_ms = Infinity;
    /** @private */
    this.unlisten = () => {};
  }

  /** Speak now and then from now on. */
  start() {
    if (this.started) return;
    this.started = true;
    this.unlisten = this.log.onChange(() => this.logChanged());
    this.plan(0);
  }

  stop() {
    this.started = false;
    this.unlisten();
    this.cancel?.();
    this.cancel = null;
    this.due_ms = Infinity;
  }

  /** Speak at once: the page became visible, the network came back, or somebody pressed the button. */
  tryNow() {
    if (this.running) this.again = true;
    return this.syncOnce();
  }

  /** One round; those who ask during one wait for the same. Never rejects. @returns {Promise<void>} */
  syncOnce() {
    this.running ??= this.once().finally(() => { this.running = null; this.planNext(); });
    return this.running;
  }

  /** @private */
  async once() {
    do {
      this.again = false;
      const enrolment = this.log.enrolment();
      if (!enrolment) return;
      try {
        const had = await this.platform.withLock(`pontata-sync ${enrolment.device}`, () => this.round());
        if (had === undefined) await this.readAgain(); // another tab speaks
      } catch (error) {
        this.failed(error);
      }
    } while (this.again);
  }

  /** @private */
  async readAgain() {
    await this.log.refresh();
    this.show({ last_contact_ms: this.log.contact_ms });
  }

  /** @private @returns {Promise<boolean>} */
  async round() {
    this.show({ phase: 'sending', message: '' });
    for (let epochs = 0; ; epochs += 1) {
      try {
        const unsaid = await this.exchange.push();
        await this.exchange.pull();
        const why = [unsaid, await this.exchange.photographs()].filter(Boolean).join(' ');
        if (!why) await this.forgetNowAndThen();
        this.failures = why ? this.failures + 1 : 0;
        this.show({ phase: this.isRetired ? 'retired' : why ? 'waiting' : 'idle', message: why });
        return true;
      } catch (error) {
        if (!(error instanceof EpochChanged) || epochs >= MOST_EPOCHS_A_ROUND) throw error;
        this.log.changed({ ...await beginEpoch(this.log.disk, error.epoch), everything: true });
      }
    }
  }

  /** @private */
  async forgetNowAndThen() {
    const now_ms = this.platform.now_ms();
    if (Math.abs(now_ms - this.forgot_ms) < FORGET_EVERY_MS) return;
    await this.log.forget(now_ms);
    this.forgot_ms = now_ms;
  }

  /** @private @param {unknown} error */
  failed(error) {
    this.failures += 1;
    const message = error instanceof Error ? error.message : String(error);
    if (error instanceof Hindered) this.show({ phase: error.phase, message });
    else if (error instanceof EpochChanged || /** @type {any} */ (error)?.name === 'DiskFailed') this.show({ phase: 'waiting', message });
    else this.show({ phase: 'offline', message });
  }

  /** @private @param {import('./received.js').Contact & {survey_state: string | null, retired: boolean}} contact */
  heard({ epoch, at_ms, server_ms, survey_state, retired }) {
    this.isRetired = retired;
    this.show({ epoch, last_contact_ms: at_ms, survey_state, skew_s: server_ms === null ? null : Math.round((at_ms - server_ms) / 1000) });
  }

  /** @private */
  logChanged() {
    this.show({});
    const { unsent, photographs_unsent, phase } = this.state;
    if (this.running || phase !== 'idle' || unsent + photographs_unsent === 0) return;
    this.plan(SOON_MS);
  }

  /** @private */
  planNext() {
    if (!this.started) return;
    const { phase } = this.state;
    const wait_ms = phase === 'idle' || phase === 'retired' ? ROUND_EVERY_MS : Math.min(LONGEST_RETRY_MS, FIRST_RETRY_MS * 2 ** Math.min(this.failures, 10));
    this.plan(wait_ms * (0.5 + this.platform.random() / 2));
  }

  /** Speak after so long, unless that is to happen sooner anyway. @private @param {number} wait_ms */
  plan(wait_ms) {
    const due_ms = this.platform.now_ms() + wait_ms;
    if (this.cancel && this.due_ms <= due_ms && this.due_ms > this.platform.now_ms() - LONGEST_RETRY_MS) return;
    this.cancel?.();
    this.due_ms = due_ms;
    this.cancel = this.platform.later(() => {
      this.cancel = null;
      void this.syncOnce();
    }, wait_ms);
  }

  /** @private */
  counts() {
    const { entries, photographs } = this.log.unsent();
    return { unsent: entries, photographs_unsent: photographs, set_aside: this.log.setAside().length };
  }

  /** @private @param {Partial<SyncState>} change */
  show(change) {
    this.state = { ...this.state, ...this.counts(), ...change };
    this.onState(this.state);
  }
}
