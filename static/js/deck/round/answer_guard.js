/**
 * Was a control tapped on purpose? A second tap in the same place must not answer an outline that has only just come up,
 * nor say one thing twice; it knows no record.
 */

/** Nobody reads an outline in less; common practice, no source. */
export const READING_MS = 350;

export class AnswerGuard {
  /** @param {() => number} [clock_ms] never goes back */
  constructor(clock_ms = () => performance.now()) {
    this.clock_ms = clock_ms;
    this.shown_ms = -Infinity;
    this.isBusy = false;
  }

  /** Something new came up to be answered. */
  shown() {
    this.shown_ms = this.clock_ms();
  }

  /** Whether a tap would be taken now. */
  get isOpen() {
    return !this.isBusy && this.clock_ms() - this.shown_ms >= READING_MS;
  }

  /** Do the work unless it is under way, or what is answered came up a moment ago. @param {() => unknown} work @returns {Promise<boolean>} whether it was done */
  async once(work) {
    if (!this.isOpen) return false;
    this.isBusy = true;
    try {
      await work();
      return true;
    } finally {
      this.isBusy = false;
    }
  }
}
