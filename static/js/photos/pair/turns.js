/**
 * Which of the two pictures is shown while they take turns? By hand, by holding, or by themselves, never faster than once a
 * second.
 */

const FASTEST_MS = 1000;

export class Turns {
  /**
   * @param {object} options
   * @param {(shown: 'before' | 'after') => void} options.onShow
   * @param {(work: () => void, ms: number) => any} [options.every]
   * @param {(timer: any) => void} [options.stop]
   */
  constructor({ onShow, every = (work, ms) => setInterval(work, ms), stop = (timer) => clearInterval(timer) }) {
    this.onShow = onShow;
    this.every = every;
    this.stop = stop;
    /** @type {'before' | 'after'} */
    this.shown = 'before';
    this.isHeld = false;
    /** How long each is shown when they take turns by themselves; 0 for not at all. */
    this.each_ms = 0;
    /** @type {any} */
    this.timer = null;
  }

  change() {
    this.shown = this.shown === 'before' ? 'after' : 'before';
    this.onShow(this.shown);
  }

  /** Show the other one for as long as it is held. */
  hold() {
    if (this.isHeld) return;
    this.isHeld = true;
    this.change();
  }

  release() {
    if (!this.isHeld) return;
    this.isHeld = false;
    this.change();
  }

  /** Let them take turns by themselves, or stop it with 0. @param {number} each_ms */
  byThemselves(each_ms) {
    if (this.timer !== null) this.stop(this.timer);
    this.timer = null;
    this.each_ms = each_ms && Math.max(each_ms, FASTEST_MS);
    if (this.each_ms) this.timer = this.every(() => this.change(), this.each_ms);
  }
}
