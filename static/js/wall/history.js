/**
 * What can be taken back, and what can be done again? A line of steps, at least a hundred long; it knows nothing of drawing.
 */

/** @template T */
export class History {
  /** @param {number} [limit] how many steps back are kept */
  constructor(limit = 400) {
    this.limit = limit;
    /** @type {T[]} */
    this.done = [];
    /** @type {T[]} */
    this.undone = [];
  }

  get canUndo() { return this.done.length > 0; }

  get canRedo() { return this.undone.length > 0; }

  /** Keep a step; what had been undone before it can no longer be done again. @param {T} step */
  push(step) {
    this.done.push(step);
    if (this.done.length > this.limit) this.done.shift();
    this.undone = [];
  }

  /** @returns {T | undefined} the step to take back */
  undo() {
    const step = this.done.pop();
    if (step !== undefined) this.undone.push(step);
    return step;
  }

  /** @returns {T | undefined} the step to do again */
  redo() {
    const step = this.undone.pop();
    if (step !== undefined) this.done.push(step);
    return step;
  }

  /** @returns {T | undefined} the last step, which can be done again no more; nor can any that was built on it */
  forgetLast() {
    this.undone = [];
    return this.done.pop();
  }

  clear() {
    this.done = [];
    this.undone = [];
  }
}
