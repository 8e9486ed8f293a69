/**
 * How long was a cell looked at, and how long of that was the tablet touched? Pure: it is told times and keeps none.
 */

/** A longer silence is a break and not looking: the tablet slept, or people left the deck. Common practice, no source. */
export const LONGEST_LOOK_MS = 5 * 60_000;
/** Contacts closer together than this belong to one turn to the tablet. Common practice, no source. */
export const ONE_TURN_MS = 2_000;
/** Raising the hand to the tablet and finding the place, once for each turn. Common practice, no source. */
export const REACH_MS = 600;

/** @typedef {{looking_ms: number, touching_ms: number}} Times */

/** Adds up what passes between moments at which the page is awake. */
export class LookClock {
  /** @param {number} now_ms a clock that never goes back */
  constructor(now_ms) {
    this.last_ms = now_ms;
  }

  /** What passed since the last moment and counts as looking. @param {number} now_ms @returns {number} [ms] */
  pass(now_ms) {
    const passed = now_ms - this.last_ms;
    this.last_ms = now_ms;
    return passed > 0 && passed <= LONGEST_LOOK_MS ? passed : 0;
  }
}

/** Adds up contacts of fingers and pen, the short pauses of one turn among them. */
export class TouchMeter {
  constructor() {
    this.down = 0;
    /** @type {number | null} */
    this.from_ms = null;
    /** @type {number | null} */
    this.ended_ms = null;
  }

  /** A contact begins. @param {number} now_ms @returns {number} what counts as touching since the last contact [ms] */
  begin(now_ms) {
    this.down += 1;
    if (this.down > 1) return 0;
    const pause = this.ended_ms === null ? Infinity : now_ms - this.ended_ms;
    this.from_ms = now_ms;
    return pause >= 0 && pause <= ONE_TURN_MS ? pause : REACH_MS;
  }

  /** A contact ends. @param {number} now_ms @returns {number} how long it was [ms] */
  end(now_ms) {
    this.down = Math.max(0, this.down - 1);
    if (this.down || this.from_ms === null) return 0;
    const passed = Math.max(0, now_ms - this.from_ms);
    this.from_ms = null;
    this.ended_ms = now_ms;
    return passed;
  }
}

/** @param {number} ms @returns {number} minutes to the tenth, as a session states them */
export function minutesOf(ms) {
  return Math.round(ms / 6_000) / 10;
}

/** @param {number} minutes */
export function minutesText(minutes) {
  return `${minutes.toFixed(1)} min`;
}

/**
 * The minutes of every cell and of touching, as the session's entry states them.
 * @param {Iterable<[string, Times]>} times by cell, a cell more than once where it was seen in several lights
 */
export function statedMinutes(times) {
  /** @type {Map<string, number>} */
  const looking_ms = new Map();
  let touching_ms = 0;
  for (const [cell, one] of times) {
    looking_ms.set(cell, (looking_ms.get(cell) ?? 0) + one.looking_ms);
    touching_ms += one.touching_ms;
  }
  /** @type {Record<string, number>} */
  const minutes = {};
  for (const [cell, ms] of looking_ms) if (ms > 0) minutes[cell] = minutesOf(ms);
  return { minutes, touch_minutes: minutesOf(touching_ms) };
}

/** What is said of the minutes at the end. @param {Record<string, number>} minutes @param {number} touch_minutes */
export function minutesSentence(minutes, touch_minutes) {
  const cells = Object.keys(minutes).length;
  if (!cells) return 'No cell was looked at in this session yet.';
  const total = Object.values(minutes).reduce((sum, one) => sum + one, 0);
  return `${cells} ${cells === 1 ? 'cell' : 'cells'} in ${minutesText(total)}, ${minutesText(total / cells)} a cell; the tablet was touched for about ${minutesText(touch_minutes)} of it.`;
}
