/**
 * What is chosen on the page at this moment? One store that the parts read, change and listen to; it draws nothing.
 */

/**
 * @typedef {object} Chosen
 * @property {'own' | 'previous'} layer
 * @property {string} id object id
 *
 * @typedef {object} PageState
 * @property {string} cell label of the chosen cell
 * @property {string} mode the light or method now in use
 * @property {string | null} term code of the term under the pen
 * @property {'choose' | 'draw'} tool
 * @property {boolean} freehand
 * @property {boolean} snap
 * @property {boolean} penSeen once a pen was seen, fingers only pan
 * @property {boolean} showPrevious
 * @property {'full' | 'faint' | 'off'} outlineView
 * @property {'outline' | 'examination' | 'list'} tab
 * @property {Chosen | null} chosen
 * @property {import('./draft.js').Draft | null} draft
 * @property {number} draftStep counts changes of the draft
 * @property {number} recordStep counts changes of outlines
 * @property {number} examinationStep counts changes of examinations
 */

/** @template {object} [S=PageState] what one page keeps */
export class Store {
  /** @param {S} initial */
  constructor(initial) {
    this.state = initial;
    /** @type {{keys: (keyof S)[], work: (state: S) => void}[]} */
    this.listeners = [];
  }

  /**
   * Change part of the state; those who listen to a changed key are told, each once.
   * @param {Partial<S>} patch
   */
  set(patch) {
    const changed = new Set(/** @type {(keyof S)[]} */ (Object.keys(patch)).filter((key) => this.state[key] !== patch[key]));
    if (!changed.size) return;
    this.state = { ...this.state, ...patch };
    for (const { keys, work } of [...this.listeners]) if (keys.some((key) => changed.has(key))) work(this.state);
  }

  /** Count up one of the steps. @param {keyof S} key of a number */
  step(key) {
    this.set(/** @type {any} */ ({ [key]: Number(this.state[key]) + 1 }));
  }

  /**
   * Do the work now and whenever one of the keys changes.
   * @param {(keyof S)[]} keys
   * @param {(state: S) => void} work
   */
  watch(keys, work) {
    this.listeners.push({ keys, work });
    work(this.state);
  }
}
