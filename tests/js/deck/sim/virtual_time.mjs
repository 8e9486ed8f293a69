/**
 * When does what happen in a sequence? Virtual time: nothing waits, each next event is taken as soon as all code has
 * come to rest. It starts no real timer.
 */

/** @typedef {{at_ms: number, order: number, work: (() => void) | null}} Event */

export class VirtualTime {
  /** @param {number} start_ms */
  constructor(start_ms) {
    this.now_ms = start_ms;
    this.events = 0;
    /** @type {Event[]} a heap, the earliest first */
    this.heap = [];
    this.order = 0;
  }

  /** Do the work after so many milliseconds. @param {() => void} work @param {number} after_ms @returns {() => void} cancels */
  later(work, after_ms) {
    const event = { at_ms: this.now_ms + Math.max(0, after_ms), order: this.order++, work };
    push(this.heap, event);
    return () => {
      event.work = null;
    };
  }

  /** A promise that is kept after so many milliseconds. @param {number} after_ms @returns {Promise<void>} */
  passed(after_ms) {
    return new Promise((kept) => this.later(kept, after_ms));
  }

  /**
   * Let events happen until a moment, or until the condition holds.
   * @param {number} until_ms
   * @param {() => boolean} [enough]
   */
  async run(until_ms, enough = never) {
    await atRest();
    while (!enough()) {
      const event = this.heap[0];
      if (event === undefined || event.at_ms > until_ms) break;
      pop(this.heap);
      if (event.work === null) continue;
      this.now_ms = Math.max(this.now_ms, event.at_ms);
      this.events += 1;
      event.work();
      await atRest();
    }
    if (!enough()) this.now_ms = Math.max(this.now_ms, until_ms);
  }

  /** Everything sleeps so long: what was due meanwhile happens late. @param {number} for_ms */
  sleep(for_ms) {
    this.now_ms += for_ms;
  }

  /** Forget all that was to come. */
  clear() {
    this.heap.length = 0;
  }
}

/**
 * Kept when no promise is left to run: Node takes the next tick only after every microtask.
 * @returns {Promise<void>}
 */
export function atRest() {
  return new Promise((kept) => process.nextTick(kept));
}

function never() {
  return false;
}

/** @param {Event} one @param {Event} other */
function earlier(one, other) {
  return one.at_ms < other.at_ms || (one.at_ms === other.at_ms && one.order < other.order);
}

/** @param {Event[]} heap @param {Event} event */
function push(heap, event) {
  let place = heap.length;
  heap.push(event);
  while (place > 0) {
    const above = (place - 1) >> 1;
    if (!earlier(event, heap[above])) break;
    heap[place] = heap[above];
    place = above;
  }
  heap[place] = event;
}

/** @param {Event[]} heap */
function pop(heap) {
  const last = /** @type {Event} */ (heap.pop());
  const size = heap.length;
  if (size === 0) return;
  let place = 0;
  for (;;) {
    let below = 2 * place + 1;
    if (below >= size) break;
    if (below + 1 < size && earlier(heap[below + 1], heap[below])) below += 1;
    if (!earlier(heap[below], last)) break;
    heap[place] = heap[below];
    place = below;
  }
  heap[place] = last;
}
