/**
 * Does the screen stay on while a session is open? Asks the browser for its wake lock and asks again whenever it was taken away.
 */

/**
 * @typedef {object} Surroundings
 * @property {any} [wakeLock] the browser's, where it has one
 * @property {{visibilityState: string, addEventListener: (name: string, work: () => void) => void}} document
 * @property {(work: () => void, ms: number) => unknown} later
 */

const ASK_AGAIN_MS = 5_000;

export class WakeKeeper {
  /**
   * @param {Surroundings} surroundings
   * @param {(state: 'kept' | 'not wanted' | 'refused' | 'none') => void} onState
   */
  constructor(surroundings, onState) {
    this.surroundings = surroundings;
    this.onState = onState;
    this.wanted = false;
    /** @type {any} */
    this.lock = null;
    this.asking = false;
    surroundings.document.addEventListener('visibilitychange', () => void this.hold());
  }

  /** @param {boolean} wanted whether the screen shall stay on from now */
  async want(wanted) {
    this.wanted = wanted;
    if (wanted) return this.hold();
    await this.lock?.release().catch(() => {});
    this.lock = null;
    this.onState('not wanted');
  }

  /** @private */
  async hold() {
    const { wakeLock, document } = this.surroundings;
    if (!this.wanted || this.lock || this.asking || document.visibilityState !== 'visible') return;
    if (!wakeLock) return this.onState('none');
    this.asking = true;
    try {
      const lock = await wakeLock.request('screen');
      this.lock = lock;
      lock.addEventListener('release', () => this.lost(lock));
      this.onState('kept');
    } catch {
      // A low battery or a hidden page refuses it; nothing but another try helps.
      this.onState('refused');
      this.surroundings.later(() => void this.hold(), ASK_AGAIN_MS);
    } finally {
      this.asking = false;
    }
    if (!this.wanted) await this.want(false);
  }

  /** @private @param {any} lock */
  lost(lock) {
    if (this.lock === lock) this.lock = null;
    void this.hold();
  }
}
