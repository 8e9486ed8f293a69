/**
 * Which cells are neighbours on one lift of the scaffold, how is a lift cut into bays, and in which order is a bay
 * walked? Pure: it knows the plan and what is stated of cells, and draws nothing.
 */

/**
 * @typedef {object} LiftPlan what is asked of the wall's plan
 * @property {string[]} labels every cell, in reading order
 * @property {{position(label: string): [number, number], columns: {readingOrder(): number[]}, rows: {readingOrder(): number[]}}} grid
 * @property {(label: string) => string | null} deckOf
 *
 * @typedef {object} Lift
 * @property {string | null} deck name of the deck from which its cells are reached
 * @property {string[]} cells
 *
 * @typedef {object} Bay
 * @property {string} name how the bay is spoken of: its first and last cell
 * @property {string | null} deck
 * @property {string[]} cells in walking order
 *
 * @typedef {'due' | 'begun' | 'done' | 'not-examined' | 'hidden' | 'not-due'} CellState
 */

/** About as many cells as one lamp setting serves and one look of half an hour takes; common practice, no source. */
export const MOST_CELLS_OF_A_BAY = 12;

/** Each state in a word and a mark, so that colour never speaks alone. @type {Record<CellState, {word: string, mark: string}>} */
export const CELL_STATES = {
  due: { word: 'due', mark: '○' }, begun: { word: 'begun', mark: '◐' }, done: { word: 'done', mark: '✓' },
  'not-examined': { word: 'not examined', mark: '✕' }, hidden: { word: 'done, part hidden', mark: '▨' }, 'not-due': { word: 'not due', mark: '·' },
};

/** The lifts of a wall, the highest first. @param {LiftPlan} plan @returns {Lift[]} */
export function liftsOf(plan) {
  /** @type {Map<string | null, string[]>} */
  const lifts = new Map();
  for (const label of plan.labels) {
    const deck = plan.deckOf(label);
    lifts.set(deck, [...(lifts.get(deck) ?? []), label]);
  }
  return [...lifts].map(([deck, cells]) => ({ deck, cells }));
}

/**
 * The bays of one lift: whole columns side by side, at most twelve cells, in the order of the walk.
 * @param {LiftPlan} plan
 * @param {Lift} lift
 * @param {string[]} due cells in the pack's walking order
 * @returns {Bay[]}
 */
export function baysOf(plan, lift, due = []) {
  const columns = columnsOf(plan, lift.cells);
  const tallest = Math.max(1, ...columns.map((cells) => cells.length));
  const across = Math.max(1, Math.floor(MOST_CELLS_OF_A_BAY / tallest));
  const bays = [];
  for (let first = 0; first < columns.length; first += across) bays.push(bayOf(plan, lift.deck, columns.slice(first, first + across).flat(), due));
  return bays;
}

/** @param {LiftPlan} plan @param {string | null} deck @param {string[]} cells @param {string[]} due @returns {Bay} */
export function bayOf(plan, deck, cells, due = []) {
  const ordered = walkOrder(plan, cells, due);
  const corners = plan.labels.filter((label) => cells.includes(label));
  const name = corners.length > 1 ? `${corners[0]} to ${corners[corners.length - 1]}` : corners[0] ?? '';
  return { name, deck, cells: ordered };
}

/**
 * Cells in the order in which they are walked: as the pack says where it names them all; else along the deck column by
 * column, each from the top down.
 * @param {LiftPlan} plan
 * @param {string[]} cells
 * @param {string[]} due
 */
export function walkOrder(plan, cells, due = []) {
  const place = new Map(due.map((label, index) => [label, index]));
  if (cells.every((label) => place.has(label))) return [...cells].sort((one, other) => /** @type {number} */ (place.get(one)) - /** @type {number} */ (place.get(other)));
  return columnsOf(plan, cells).flat();
}

/** Cells grouped by column in reading direction, each column from the top down. @private @param {LiftPlan} plan @param {string[]} cells */
function columnsOf(plan, cells) {
  const wanted = new Set(cells);
  /** @type {Map<number, string[]>} */
  const byColumn = new Map(plan.grid.columns.readingOrder().map((column) => [column, []]));
  const placed = plan.labels.filter((label) => wanted.has(label)).map((label) => ({ label, at: plan.grid.position(label) }));
  placed.sort((one, other) => other.at[1] - one.at[1]);
  for (const { label, at } of placed) byColumn.get(at[0])?.push(label);
  return [...byColumn.values()].filter((column) => column.length);
}

/**
 * How one cell stands in one mode.
 * @param {object} options
 * @param {any} options.examination what the record holds, if anything
 * @param {boolean} options.begun whether work on it lies on this tablet
 * @param {boolean} options.due
 * @returns {CellState}
 */
export function cellState({ examination, begun, due }) {
  if (examination?.state === 'not-examined') return 'not-examined';
  if (examination?.done) return examination.hidden?.length ? 'hidden' : 'done';
  if (begun || examination) return 'begun';
  return due ? 'due' : 'not-due';
}

/** Whether nothing more is asked of a cell. @param {CellState} state */
export function isSettled(state) {
  return state === 'done' || state === 'hidden' || state === 'not-examined';
}

/** The next cell of a bay that is not settled, after the one left; from the start again when none follows. @param {string[]} cells @param {string | null} left @param {(label: string) => CellState} stateOf @returns {string | null} */
export function nextCell(cells, left, stateOf) {
  const from = left === null ? 0 : cells.indexOf(left) + 1;
  return [...cells.slice(from), ...cells.slice(0, from)].find((label) => label !== left && !isSettled(stateOf(label))) ?? null;
}

/** The bay to go to: the first, in the pack's order of cells, that still holds a cell which is due or begun. @param {Bay[]} bays @param {(label: string) => CellState} stateOf @param {string[]} due @returns {Bay | null} */
export function suggestedBay(bays, stateOf, due) {
  const waiting = (/** @type {string} */ label) => ['due', 'begun'].includes(stateOf(label));
  const first = due.find(waiting) ?? bays.flatMap(({ cells }) => cells).find(waiting);
  return bays.find(({ cells }) => first !== undefined && cells.includes(first)) ?? null;
}

/** How many cells of a bay stand how, in words: "9 due, 2 done, 1 begun". @param {string[]} cells @param {(label: string) => CellState} stateOf */
export function countsText(cells, stateOf) {
  /** @type {Map<CellState, number>} */
  const counts = new Map();
  for (const label of cells) counts.set(stateOf(label), (counts.get(stateOf(label)) ?? 0) + 1);
  return /** @type {CellState[]} */ (Object.keys(CELL_STATES)).filter((state) => counts.has(state)).map((state) => `${counts.get(state)} ${CELL_STATES[state].word}`).join(', ');
}
