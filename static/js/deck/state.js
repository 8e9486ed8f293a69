/**
 * What does the deck page keep in its store, and with what does it begin?
 */

/**
 * @typedef {object} DeckState
 * @property {string | null} screen name of the screen shown
 * @property {string} cell label of the chosen cell
 * @property {string} mode the light or method now in use
 * @property {string[]} bay cells under one lamp setting, in the order of the walk
 * @property {'look' | 'compare'} lookStage first look without, then with the last survey's outlines
 * @property {import('../wall/state.js').Chosen | null} chosen
 * @property {any} draft the outline under the pen
 * @property {number} draftStep counts changes of the draft
 * @property {number} recordStep counts changes of outlines
 * @property {number} examinationStep counts changes of examinations
 * @property {number} syncStep counts changes of what is sent
 * @property {boolean} penSeen once a pen was seen, fingers only pan
 * @property {any} session the open session's body with its object id
 * @property {string | null} term code of the term under the pen
 * @property {string} tool
 * @property {boolean} freehand
 * @property {boolean} snap
 * @property {'left' | 'right'} hand
 * @property {boolean} blackout
 */

/** @param {Partial<DeckState>} [known] @returns {DeckState} */
export function initialState(known = {}) {
  return {
    screen: null, cell: '', mode: 'normal', bay: [], lookStage: 'look', chosen: null, draft: null, draftStep: 0, recordStep: 0, examinationStep: 0, syncStep: 0,
    penSeen: false, session: null, term: null, tool: 'choose', freehand: false, snap: false, hand: 'right', blackout: false, ...known,
  };
}
