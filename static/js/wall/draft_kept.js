/**
 * How does a draft stand on a disk, so that it comes back as it was with every step back and forth? One head, one base and
 * small steps that each say only what changed; it writes nothing itself.
 */
import { Draft } from './draft.js';
import { lines, withLine } from './geometry.js';

/** @typedef {import('./geometry.js').Point} Point */
/** @typedef {import('./geometry.js').Geometry} Geometry */
/** @typedef {import('./draft.js').Shape} Shape */
/** @typedef {import('./draft.js').Step} Step */
/**
 * A stretch of points replaced: `cut` points from `at` on give way to `points`.
 * @typedef {{at: number, cut: number, points: Point[]}} Splice
 *
 * A step as kept. `was` is the role in which it was made, `now` the role after it.
 * @typedef {object} KeptStep
 * @property {{role: import('./draft.js').Role, adding: boolean}} was
 * @property {{role: import('./draft.js').Role, adding: boolean}} now
 * @property {Splice} [sketch]
 * @property {{path: number[], splice: Splice}[]} [lines] of a geometry that keeps its parts
 * @property {Geometry | null} [geometry] of one whose parts changed
 *
 * The head of a draft as kept: all but its shape and steps.
 * @typedef {object} KeptHead
 * @property {import('./draft.js').Kind} kind
 * @property {'outline' | 'hidden' | 'touch'} purpose
 * @property {Record<string, any>} stated
 * @property {{objectId?: string, parents?: string[]}} identity
 * @property {{role: import('./draft.js').Role, adding: boolean}} now
 */

/** @param {Draft} draft @returns {KeptHead} */
export function headOf(draft) {
  const { kind, purpose, stated, identity } = draft;
  return { kind, purpose, stated: structuredClone(stated), identity: structuredClone(identity), now: roleOf(draft.shape) };
}

/** The steps that were made, then those taken back, in the order in which they were made. @param {Draft} draft @returns {Step[]} */
export function timelineOf(draft) {
  return [...draft.history.done, ...[...draft.history.undone].reverse()];
}

/** What stood before the first step that is still known. @param {Draft} draft @returns {Shape} */
export function baseOf(draft) {
  return timelineOf(draft)[0]?.before ?? draft.shape;
}

/** @param {Step} step @returns {KeptStep} */
export function keptStep({ before, after }) {
  /** @type {KeptStep} */
  const kept = { was: roleOf(before), now: roleOf(after) };
  if (before.sketch !== after.sketch) kept.sketch = spliceBetween(before.sketch, after.sketch);
  if (before.geometry !== after.geometry) Object.assign(kept, geometryChange(before.geometry, after.geometry));
  return kept;
}

/** The step as it was made on a shape. @param {Shape} shape @param {KeptStep} kept @returns {Step} */
export function stepFrom(shape, kept) {
  const before = { ...shape, ...kept.was };
  const after = { ...before, ...kept.now };
  if (kept.sketch) after.sketch = spliced(before.sketch, kept.sketch);
  if (kept.geometry !== undefined) after.geometry = kept.geometry;
  for (const { path, splice } of kept.lines ?? []) after.geometry = withSplice(/** @type {Geometry} */ (after.geometry), path, splice);
  return { before, after };
}

/**
 * The draft as it was left, with its steps back and forth.
 * @param {object} options
 * @param {KeptHead} options.head
 * @param {Shape} options.base
 * @param {KeptStep[]} options.steps in the order in which they were made
 * @param {number} options.done how many of them stand
 * @param {() => void} [options.onChange]
 */
export function draftFrom({ head, base, steps, done, onChange }) {
  const draft = new Draft({ kind: head.kind, purpose: head.purpose, stated: structuredClone(head.stated), identity: structuredClone(head.identity), onChange });
  let shape = base;
  const timeline = steps.map((kept) => {
    const step = stepFrom(shape, kept);
    shape = step.after;
    return step;
  });
  const { history } = draft;
  history.done = timeline.slice(0, done);
  history.undone = timeline.slice(done).reverse();
  const standing = history.done[done - 1]?.after ?? history.undone[history.undone.length - 1]?.before ?? base;
  draft.shape = { ...standing, ...head.now };
  return draft;
}

/** @param {Shape} shape */
function roleOf({ role, adding }) {
  return { role, adding };
}

/** @param {Geometry | null} before @param {Geometry | null} after @returns {Partial<KeptStep>} */
function geometryChange(before, after) {
  if (!before || !after || before.type !== after.type) return { geometry: after };
  const [old, young] = [lines(before), lines(after)];
  const sameParts = old.length === young.length && old.every((line, index) => String(line.path) === String(young[index].path));
  if (!sameParts) return { geometry: after };
  const changed = young.flatMap((line, index) => {
    const splice = spliceBetween(old[index].points, line.points);
    return splice.cut || splice.points.length ? [{ path: line.path, splice }] : [];
  });
  return { lines: changed };
}

/** @param {Geometry} geometry @param {number[]} path @param {Splice} splice */
function withSplice(geometry, path, splice) {
  const line = lines(geometry).find((found) => String(found.path) === String(path));
  if (!line) throw new Error('A kept step names a line that its outline does not have.');
  return withLine(geometry, path, spliced(line.points, splice));
}

/** @param {Point[]} before @param {Point[]} after @returns {Splice} the shortest single stretch that turns one into the other */
function spliceBetween(before, after) {
  const same = (/** @type {number} */ i, /** @type {number} */ j) => before[i][0] === after[j][0] && before[i][1] === after[j][1];
  const shorter = Math.min(before.length, after.length);
  let at = 0;
  while (at < shorter && same(at, at)) at += 1;
  let tail = 0;
  while (tail < shorter - at && same(before.length - 1 - tail, after.length - 1 - tail)) tail += 1;
  return { at, cut: before.length - tail - at, points: after.slice(at, after.length - tail) };
}

/** @param {Point[]} points @param {Splice} splice @returns {Point[]} */
function spliced(points, { at, cut, points: fresh }) {
  return [...points.slice(0, at), ...fresh, ...points.slice(at + cut)];
}
