/**
 * How does the round stand on this tablet: session, bay, cell, stage, answers, times? Plain data and the changes of it,
 * kept on the tablet's disk whole after every change, so that a restart finds it as it was left.
 */

/** @typedef {import('../../wall/geometry.js').Geometry} Geometry */
/** @typedef {import('./items.js').Answer} Answer */
/**
 * @typedef {object} HiddenPart
 * @property {Geometry} geometry
 * @property {string} cause
 * @property {string} [item] the old outline that could not be seen
 *
 * @typedef {object} CellWork what is chosen of a cell in one light and not stated yet
 * @property {'look' | 'compare'} stage
 * @property {string | null} at id of the old outline asked about
 * @property {string[]} closer ids of old outlines to be looked at more closely
 * @property {string[]} notFound ids of old outlines of which nothing is left to draw
 * @property {HiddenPart[] | null} hidden null until the layout was asked
 * @property {Geometry | null} touch the part within touch where it is not the whole cell
 * @property {'touch' | 'seen' | null} sight
 * @property {string} note
 * @property {string[]} notSearched codes of the search list that were not looked for
 *
 * @typedef {object} Step one answer, to be taken back
 * @property {string} cell
 * @property {string} mode
 * @property {string} item id of the old outline
 * @property {Answer} answer
 * @property {'record' | 'tablet'} kept an entry, or only a choice on this tablet
 * @property {number} acts how many acts of the record stood after it
 * @property {HiddenPart} [part]
 *
 * @typedef {{setting: string, side: 'left' | 'right' | 'top' | 'below' | 'even', lookedOver: string[]}} LampSetting
 *
 * @typedef {object} RecheckWork
 * @property {import('./recheck.js').Pick[]} picks
 * @property {import('./recheck.js').Recheck[]} answers
 *
 * @typedef {object} RoundState
 * @property {1} version
 * @property {string} survey id
 * @property {string | null} session object id of the open session
 * @property {string | null} screen
 * @property {string} mode
 * @property {LampSetting} lamp
 * @property {string[]} bay
 * @property {string} cell
 * @property {Record<string, CellWork>} cells by cell and mode
 * @property {Record<string, {cell: string, mode: string, answer: Answer}>} answered in this session, by id of the old outline
 * @property {Step[]} trail
 * @property {Step[]} undone
 * @property {{cell: string, mode: string, item: string, answer: Answer} | null} drawing the old outline that is being drawn anew
 * @property {RecheckWork | null} recheck
 * @property {Record<string, import('./minutes.js').Times>} times of this session, by cell and mode
 * @property {Record<string, any>} forms what was filled in on the screens of opening and signing
 */

/** Steps back that are kept; the contract of the deck asks for a hundred. */
export const LONGEST_TRAIL = 400;

/** @param {string} survey @param {{mode: string, cell: string}} at @returns {RoundState} */
export function emptyRound(survey, { mode, cell }) {
  return {
    version: 1, survey, session: null, screen: null, mode, cell, bay: [], lamp: { setting: '', side: 'even', lookedOver: [] },
    cells: {}, answered: {}, trail: [], undone: [], drawing: null, recheck: null, times: {}, forms: {},
  };
}

/** What was kept, where it is of this survey and readable; else an empty round. @param {any} kept @param {string} survey @param {{mode: string, cell: string}} at @returns {RoundState} */
export function keptRound(kept, survey, at) {
  const empty = emptyRound(survey, at);
  return kept?.version === 1 && kept.survey === survey ? { ...empty, ...kept } : empty;
}

/** A session begins: nothing of an earlier one is asked or counted again, but cells that were begun stay begun. @param {RoundState} round @param {string} session @returns {RoundState} */
export function openRound(round, session) {
  return { ...round, session, answered: {}, trail: [], undone: [], drawing: null, recheck: null, times: {}, forms: {}, bay: [], lamp: { setting: '', side: 'even', lookedOver: [] } };
}

/** A session ends: what was chosen and not stated stays for the next one. @param {RoundState} round @returns {RoundState} */
export function closeRound(round) {
  return { ...openRound(round, ''), session: null, screen: null };
}

/** @param {string} cell @param {string} mode */
export function workKey(cell, mode) {
  return `${cell}:${mode}`;
}

/** @param {RoundState} round @param {string} cell @param {string} mode @returns {CellWork} */
export function workOf(round, cell, mode) {
  return round.cells[workKey(cell, mode)] ?? { stage: 'look', at: null, closer: [], notFound: [], hidden: null, touch: null, sight: null, note: '', notSearched: [] };
}

/** @param {RoundState} round @param {{cell: string, mode: string}} at @param {Partial<CellWork>} change @returns {RoundState} */
export function withWork(round, { cell, mode }, change) {
  return { ...round, cells: { ...round.cells, [workKey(cell, mode)]: { ...workOf(round, cell, mode), ...change } } };
}

/** What passed is added to a cell's times. @param {RoundState} round @param {{cell: string, mode: string}} at @param {import('./minutes.js').Times} passed @returns {RoundState} */
export function withTimes(round, { cell, mode }, { looking_ms, touching_ms }) {
  const key = workKey(cell, mode);
  const before = round.times[key] ?? { looking_ms: 0, touching_ms: 0 };
  return { ...round, times: { ...round.times, [key]: { looking_ms: before.looking_ms + looking_ms, touching_ms: before.touching_ms + touching_ms } } };
}

/** Whether anything was chosen of a cell that is not stated yet. @param {RoundState} round @param {string} cell @param {string} mode */
export function isBegun(round, cell, mode) {
  const work = round.cells[workKey(cell, mode)];
  return Boolean(work && (work.stage === 'compare' || work.hidden !== null || work.note));
}

/** A step is taken: what had been undone before it can no longer be done again. @param {RoundState} round @param {Step} step @returns {RoundState} */
export function withStep(round, step) {
  return applied({ ...round, trail: [...round.trail, step].slice(-LONGEST_TRAIL), undone: [] }, step);
}

/** The last step is taken back. @param {RoundState} round @returns {RoundState} */
export function stepBack(round) {
  const step = round.trail[round.trail.length - 1];
  if (!step) return round;
  return takenBack({ ...round, trail: round.trail.slice(0, -1), undone: [...round.undone, step] }, step);
}

/** The step last taken back is done again. @param {RoundState} round @returns {RoundState} */
export function stepAgain(round) {
  const step = round.undone[round.undone.length - 1];
  if (!step) return round;
  return applied({ ...round, undone: round.undone.slice(0, -1), trail: [...round.trail, step] }, step);
}

/** @param {RoundState} round @param {Step} step @returns {RoundState} */
function applied(round, step) {
  const { cell, mode, item, answer, part } = step;
  const work = workOf(round, cell, mode);
  const change = {
    closer: marked(work.closer, item, answer === 'look-closer'), notFound: marked(work.notFound, item, answer === 'not-found'),
    hidden: part ? [...(work.hidden ?? []), part] : work.hidden,
  };
  return withWork({ ...round, answered: { ...round.answered, [item]: { cell, mode, answer } } }, { cell, mode }, change);
}

/** What an item was answered before the step stands again, and the item is asked again. @param {RoundState} round @param {Step} step @returns {RoundState} */
function takenBack(round, { cell, mode, item, part }) {
  const work = workOf(round, cell, mode);
  const before = [...round.trail].reverse().find((step) => step.item === item && step.mode === mode);
  const { [item]: _, ...others } = round.answered;
  const closer = marked(work.closer, item, before?.answer === 'look-closer');
  const notFound = marked(work.notFound, item, before?.answer === 'not-found');
  const hidden = part && work.hidden ? work.hidden.filter((one) => one.item !== item) : work.hidden;
  const answered = before ? { ...others, [item]: { cell, mode, answer: before.answer } } : others;
  return withWork({ ...round, answered }, { cell, mode }, { closer, notFound, hidden, at: item, stage: 'compare' });
}

/** @param {string[]} ids @param {string} item @param {boolean} isMarked */
function marked(ids, item, isMarked) {
  const others = ids.filter((id) => id !== item);
  return isMarked ? [...others, item] : others;
}
