/**
 * What was seen of one cell in one mode, and what may be asserted of it? Reads and makes the body of an examination;
 * hidden beats touch and sight, and touch implies sight. It draws nothing and sends nothing.
 */
import { boundsOf, rectangleRings, rectangleWithout, snapPoint } from './geometry.js';

/** @typedef {import('./geometry.js').Geometry} Geometry */
/**
 * @typedef {object} ExaminationDraft
 * @property {'touch' | 'seen' | 'not-examined' | null} sight
 * @property {Geometry | null} touch the part within touch where it is not the whole cell
 * @property {{geometry: Geometry, cause: string}[]} hidden
 * @property {Set<string>} searched codes looked for
 * @property {string} cause why it was not examined
 * @property {string} note
 */

/**
 * The draft for a cell that nothing was stated of yet: hidden parts and reach as the layout's obstructions say.
 * @param {import('./plan.js').Obstruction[]} obstructions those before this cell in this mode, cut to it
 * @param {number[]} box the cell [in]
 * @param {string[]} searchList
 * @returns {ExaminationDraft}
 */
export function draftFromLayout(obstructions, box, searchList) {
  const hidden = obstructions.filter((one) => !one.touch_only).map((one) => ({ geometry: polygonOf(one.polygon), cause: one.cause || one.name }));
  const outOfReach = obstructions.filter((one) => one.touch_only).map((one) => boundsOf(polygonOf(one.polygon)));
  return { sight: null, touch: outOfReach.length ? withoutBoxes(box, outOfReach) : null, hidden, searched: new Set(searchList), cause: '', note: '' };
}

/** @param {any} examination as the record gives it @param {string[]} searchList @returns {ExaminationDraft} */
export function draftFromRecord(examination, searchList) {
  const touched = examination.state === 'touch' || Boolean(examination.touch);
  return {
    sight: examination.state === 'not-examined' ? 'not-examined' : touched ? 'touch' : 'seen',
    touch: examination.touch ?? null,
    hidden: structuredClone(examination.hidden ?? []),
    searched: new Set(examination.searched ?? searchList),
    cause: examination.cause ?? '',
    note: examination.note ?? '',
  };
}

/**
 * The body of the examination's entry, without cell, mode and layout.
 * @param {ExaminationDraft} draft
 * @param {object} options
 * @param {number[]} options.box the cell [in]
 * @param {string[]} options.searchList
 * @param {boolean} options.done
 * @returns {Record<string, any>}
 */
export function examinationBody(draft, { box, searchList, done }) {
  if (draft.sight === null) throw new Error('Say first how the cell was seen: seen, within touch too, or not examined.');
  /** @type {Record<string, any>} */
  const body = { state: draft.sight, seen: null, touch: null, hidden: [], done };
  if (draft.note.trim()) body.note = draft.note.trim();
  if (draft.sight === 'not-examined') {
    if (!draft.cause.trim()) throw new Error('Say why the cell was not examined, for instance "sheeted" or "no safe access".');
    return { ...body, cause: draft.cause.trim(), done: false };
  }
  const withoutCause = draft.hidden.findIndex((part) => !part.cause.trim());
  if (withoutCause >= 0) throw new Error(`Hidden part ${withoutCause + 1}: name what hides it, for instance "deck boards".`);
  const cell = { type: 'Polygon', coordinates: rectangleRings(box) };
  if (draft.searched.size < searchList.length) body.searched = searchList.filter((code) => draft.searched.has(code));
  if (draft.hidden.length) return { ...body, state: 'part-hidden', seen: cell, touch: draft.sight === 'touch' ? draft.touch ?? cell : null, hidden: draft.hidden };
  if (draft.sight === 'touch' && draft.touch) return { ...body, state: 'seen', touch: draft.touch };
  return body;
}

/** What is left of a cell when boxes are taken out, as one geometry; null when nothing is. @param {number[]} box @param {number[][]} taken @returns {Geometry | null} */
export function withoutBoxes(box, taken) {
  const left = taken.reduce((boxes, hole) => boxes.flatMap((one) => rectangleWithout(one, hole)), [box]);
  if (!left.length) return null;
  return { type: 'MultiPolygon', coordinates: left.map((one) => rectangleRings(one)) };
}

/** @param {import('./geometry.js').Point[]} ring @returns {Geometry} */
function polygonOf(ring) {
  const points = ring.map(snapPoint);
  return { type: 'Polygon', coordinates: [[...points, points[0]]] };
}
