/**
 * Which drafts lie on this tablet's disk, and how do they get there and back? Rows of the stores "drafts" and "steps" alone;
 * when to write is asked elsewhere.
 */
import { baseOf, draftFrom, headOf, keptStep, timelineOf } from '../../wall/draft_kept.js';

/** @typedef {import('../../wall/draft.js').Draft} Draft */
/** @typedef {import('../../wall/draft.js').Step} Step */
/** @typedef {import('../../wall/geometry.js').Point} Point */
/** @typedef {import('../core/disk.js').Disk} Disk */
/**
 * Where and for what a draft was begun.
 * @typedef {{cell: string, mode: string}} Place
 *
 * A stroke that was not lifted yet.
 * @typedef {{points: Point[], tolerance_in: number}} Stroke
 *
 * @typedef {import('../../wall/draft_kept.js').KeptHead & Place & {id: string, done: number, changed_ms: number, left: boolean, stroke?: Stroke}} DraftRow
 * @typedef {{draft: string, n: number, base?: import('../../wall/draft.js').Shape, step?: import('../../wall/draft_kept.js').KeptStep}} StepRow
 *
 * What to write so that the disk holds the draft as it is.
 * @typedef {{head: DraftRow, put: StepRow[], gone: number[], numbers: Map<Step, number>}} Change
 */

export const DRAFT_STORES = ['drafts', 'steps'];
/** The base stands before the first step. */
const BASE_N = 0;

/**
 * The rows that change between what the disk holds and the draft.
 * @param {object} options
 * @param {string} options.id
 * @param {Draft} options.draft
 * @param {Place} options.place
 * @param {Map<Step, number>} options.numbers the steps on the disk, each with its number; empty for a draft not kept yet
 * @param {Stroke | null} options.stroke
 * @param {boolean} options.left whether the draft was put aside
 * @param {number} options.now_ms
 * @returns {Change}
 */
export function changeOf({ id, draft, place, numbers, stroke, left, now_ms }) {
  const timeline = timelineOf(draft);
  const fresh = numbered(timeline, numbers);
  const put = timeline.filter((step) => !numbers.has(step)).map((step) => ({ draft: id, n: Number(fresh.get(step)), step: keptStep(step) }));
  // The base moves when the oldest step can be undone no more.
  const [oldest] = numbers.values();
  const baseStands = oldest !== undefined && numbers.get(timeline[0]) === oldest;
  /** @type {StepRow[]} */
  const base = baseStands ? [] : [{ draft: id, n: BASE_N, base: baseOf(draft) }];
  const taken = new Set(fresh.values());
  const gone = [...numbers.values()].filter((n) => !taken.has(n));
  const head = { id, ...place, ...headOf(draft), done: draft.history.done.length, changed_ms: now_ms, left, ...(stroke ? { stroke } : {}) };
  return { head, put: [...base, ...put], gone, numbers: fresh };
}

/** @param {Step[]} timeline @param {Map<Step, number>} known @returns {Map<Step, number>} */
function numbered(timeline, known) {
  const numbers = new Map();
  let last = BASE_N;
  for (const step of timeline) {
    last = known.get(step) ?? last + 1;
    numbers.set(step, last);
  }
  return numbers;
}

/** Write a change, in one transaction. @param {Disk} disk @param {Change} change */
export function writeChange(disk, { head, put, gone }) {
  return disk.run(DRAFT_STORES, 'readwrite', async (/** @type {any} */ tx) => {
    // All at once: each answer waited for by itself would cost a turn of a busy page.
    await Promise.all([...gone.map((n) => tx.delete('steps', [head.id, n])), ...put.map((row) => tx.put('steps', row)), tx.put('drafts', head)]);
  });
}

/** Every draft on this tablet, the latest first. @param {Disk} disk @returns {Promise<DraftRow[]>} */
export async function allDrafts(disk) {
  const rows = await disk.run(['drafts'], 'readonly', (/** @type {any} */ tx) => tx.all('drafts'));
  return rows.sort((/** @type {DraftRow} */ one, /** @type {DraftRow} */ other) => other.changed_ms - one.changed_ms);
}

/**
 * A draft as it was left, and the numbers of its steps on the disk.
 * @param {Disk} disk
 * @param {string} id
 * @returns {Promise<{head: DraftRow, draft: Draft, numbers: Map<Step, number>} | null>}
 */
export async function readDraft(disk, id) {
  const { head, rows } = await disk.run(DRAFT_STORES, 'readonly', async (/** @type {any} */ tx) => ({ head: await tx.get('drafts', id), rows: await tx.all('steps', [[id, BASE_N], [id, Infinity]]) }));
  const base = rows.find((/** @type {StepRow} */ row) => row.n === BASE_N)?.base;
  if (!head || !base) return null;
  const kept = rows.filter((/** @type {StepRow} */ row) => row.step);
  const draft = draftFrom({ head, base, steps: kept.map((/** @type {StepRow} */ row) => row.step), done: head.done });
  const numbers = new Map(timelineOf(draft).map((step, index) => [step, kept[index].n]));
  return { head, draft, numbers };
}

/** Take drafts off the disk for good. @param {Disk} disk @param {string[]} ids */
export function dropDrafts(disk, ids) {
  return disk.run(DRAFT_STORES, 'readwrite', async (/** @type {any} */ tx) => {
    for (const id of ids) {
      for (const row of await tx.all('steps', [[id, BASE_N], [id, Infinity]])) await tx.delete('steps', [id, row.n]);
      await tx.delete('drafts', id);
    }
  });
}
