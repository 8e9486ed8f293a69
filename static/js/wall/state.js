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

export class Store {
  /** @param {PageState} initial */
  constructor(initial) {
    this.state = initial;
    /** @type {{keys: (keyof PageState)[], work: (state: PageState) => void}[]} */
    this.listeners = [];
  }

  /**
   * Change part of the state; those who listen to a changed key are told, each once.
   * @param {Partial<PageState>} patch
   */
  set(patch) {
    const changed = new Set(Object.keys(patch).filter((key) => this.state[/** @type {keyof PageState} */ (key)] !== patch[/** @type {keyof PageState} */ (key)]));
    if (!changed.size) return;
    this.state = { ...this.state, ...patch };
    for (const { keys, work } of [...this.listeners]) if (keys.some((key) => changed.has(key))) work(this.state);
  }

  /** Count up one of the steps. @param {'draftStep' | 'recordStep' | 'examinationStep'} key */
  step(key) {
    this.set({ [key]: this.state[key] + 1 });
  }

  /**
   * Do the work now and whenever one of the keys changes.
   * @param {(keyof PageState)[]} keys
   * @param {(state: PageState) => void} work
   */
  watch(keys, work) {
    this.listeners.push({ keys, work });
    work(this.state);
  }
}
