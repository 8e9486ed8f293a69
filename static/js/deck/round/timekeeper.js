/**
 * Who watches the clock while a round goes on? Counts looking while a cell's screen is up and touching on any screen, and
 * hands both to the round; it shows nothing.
 */
import { LookClock, TouchMeter } from './minutes.js';

/** Screens on which the wall's cell is looked at. */
const LOOKING_SCREENS = new Set(['cell', 'done', 'draw', 'photo', 'reading', 'slate']);
/** Times are kept at least this often, so that a killed page loses no more. */
const KEEP_EVERY_MS = 15_000;

export class Timekeeper {
  /**
   * @param {object} options
   * @param {import('../deck.js').Deck} options.deck
   * @param {(passed: {looking_ms: number, touching_ms: number}) => void} options.count adds to the cell in use
   * @param {() => Promise<boolean>} options.keep
   * @param {() => number} [options.clock_ms] never goes back
   */
  constructor({ deck, count, keep, clock_ms = () => performance.now() }) {
    this.deck = deck;
    this.count = count;
    this.keep = keep;
    this.clock_ms = clock_ms;
    this.look = new LookClock(clock_ms());
    this.touch = new TouchMeter();
    this.lastLooking = false;
  }

  /** @param {Document} page */
  start(page) {
    const listen = (/** @type {string} */ type, /** @type {() => number} */ work) => page.addEventListener(type, () => this.tick(work()), { capture: true, passive: true });
    listen('pointerdown', () => this.touch.begin(this.clock_ms()));
    for (const type of ['pointerup', 'pointercancel']) listen(type, () => this.touch.end(this.clock_ms()));
    this.deck.store.watch(['screen'], () => this.tick(0));
    const again = () => {
      this.tick(0);
      if (this.deck.store.state.session) void this.keep();
      this.deck.platform.later(again, KEEP_EVERY_MS);
    };
    this.deck.platform.later(again, KEEP_EVERY_MS);
  }

  /** Count what passed since the last moment. @param {number} touching_ms */
  tick(touching_ms) {
    const passed_ms = this.look.pass(this.clock_ms());
    const { session, screen } = this.deck.store.state;
    const looking_ms = this.lastLooking ? passed_ms : 0;
    this.lastLooking = LOOKING_SCREENS.has(screen ?? '');
    if (session?.state === 'open' && looking_ms + touching_ms > 0) this.count({ looking_ms, touching_ms });
  }
}
