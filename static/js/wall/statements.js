/**
 * What exactly is said to the record? Builds the drafts of entries from what stands on the page, and what an outline
 * looks like before its receipt is back. It sends nothing.
 */
import { uuid5, uuid7 } from '../shared/uuid.js';
import { boundsOf, mapPoints, sizes, snapPoint } from './geometry.js';

/** @typedef {import('./geometry.js').Geometry} Geometry */
/** @typedef {import('../shared/port.js').EntryDraft} EntryDraft */
/** @typedef {Record<string, any>} Stated */

/**
 * An outline as the record gives it back.
 * @typedef {object} Outline
 * @property {string} id object id
 * @property {string} entry id of its head entry
 * @property {string} item
 * @property {string} term
 * @property {string} mode
 * @property {string} basis
 * @property {string[]} cells
 * @property {string[]} continues
 * @property {number} [condition]
 * @property {number} [urgency]
 * @property {string} [confidence]
 * @property {string} [edge]
 * @property {string} [note]
 * @property {any} [activity]
 * @property {string} [debris]
 * @property {Record<string, any>} [measures]
 * @property {string} [observed_by]
 * @property {string} [observed_on]
 * @property {number | null} area_sq_in
 * @property {number | null} perimeter_in
 * @property {number | null} length_in
 * @property {number | null} [boundary_error_in]
 * @property {string} [boundary_error_source]
 * @property {string | null} [picture] object id of the placed picture that it was drawn over
 * @property {number | null} [picture_error_in] the standard error of that picture's place
 * @property {string[]} [photographs]
 * @property {boolean} conflict
 * @property {Geometry} geometry
 * @property {boolean} [pending] no receipt yet
 */

/** What a person may state beside term and geometry; each is left out when empty. */
export const STATED_KEYS = /** @type {const} */ (['measures', 'condition', 'urgency', 'activity', 'confidence', 'edge', 'debris', 'note', 'boundary_error_in', 'boundary_error_source', 'picture', 'picture_error_in', 'photographs']);

/** The one continuation of a prior object in a survey. @param {string} surveyId @param {string} priorId */
export function continuationId(surveyId, priorId) {
  return uuid5(surveyId.toLowerCase(), `continuation:${priorId.toLowerCase()}`);
}

/** @param {string} surveyId @param {number} layout @param {string} cell @param {string} mode */
export function examinationId(surveyId, layout, cell, mode) {
  return uuid5(surveyId.toLowerCase(), `examination:${layout}:${cell}:${mode}`);
}

/**
 * The body of an observation.
 * @param {object} options
 * @param {{layout: number, vocabulary: number}} options.survey
 * @param {Geometry} options.geometry
 * @param {Stated} options.stated term, item, mode, basis, continues, observed_on and what else was stated
 * @returns {Record<string, any>}
 */
export function observationBody({ survey, geometry, stated }) {
  /** @type {Record<string, any>} */
  const body = {
    term: stated.term,
    geometry: mapPoints(geometry, snapPoint),
    basis: stated.basis ?? 'drawn',
    mode: stated.mode,
    item: stated.item,
    layout: survey.layout,
    vocabulary: survey.vocabulary,
    observed_on: stated.observed_on,
  };
  if (stated.continues?.length) body.continues = stated.continues;
  for (const key of STATED_KEYS) if (!isEmpty(stated[key])) body[key] = stated[key];
  return body;
}

/** What an outline of the record already states, ready to be corrected or copied. @param {Outline} outline @returns {Stated} */
export function statedOf(outline) {
  /** @type {Stated} */
  const stated = { term: outline.term, item: outline.item, mode: outline.mode, basis: outline.basis, continues: outline.continues ?? [], observed_on: outline.observed_on };
  for (const key of STATED_KEYS) if (!isEmpty(outline[key])) stated[key] = structuredClone(outline[key]);
  return stated;
}

/**
 * What is stated of an outline as it is put down, with the picture that it was drawn over. A copy's old border keeps the
 * error of the picture that it came from, so of both errors the larger stands. A picture of unknown error is not stated.
 * @param {Stated} stated
 * @param {{id?: string, error_in?: number | null, bounds_in: number[]} | null} picture under the pen
 * @param {Geometry} geometry
 * @returns {Stated}
 */
export function drawnOver(stated, picture, geometry) {
  if (!picture?.id || typeof picture.error_in !== 'number' || !meet(picture.bounds_in, boundsOf(geometry))) return stated;
  return { ...stated, picture: picture.id, picture_error_in: Math.max(picture.error_in, stated.picture_error_in ?? 0) };
}

/** @param {number[]} one @param {number[]} other whether two boxes meet */
function meet(one, other) {
  return one[0] <= other[2] && other[0] <= one[2] && one[1] <= other[3] && other[1] <= one[3];
}

/**
 * The draft of an observation, new, continued or corrected.
 * @param {object} options
 * @param {string} [options.objectId]
 * @param {string[]} [options.parents]
 * @param {Record<string, any>} options.body
 * @param {Author} options.author
 * @returns {EntryDraft}
 *
 * @typedef {{observed_by: string, recorded_by?: string}} Author
 */
export function observationEntry({ objectId = uuid7(), parents = [], body, author }) {
  return { id: uuid7(), object_id: objectId, kind: 'observation', body, parents, ...author };
}

/** @param {{objectId: string, head: string, reason: string, author: Author}} options @returns {EntryDraft} */
export function withdrawalEntry({ objectId, head, reason, author }) {
  return { id: uuid7(), object_id: objectId, kind: 'withdrawal', body: { reason }, parents: [head], ...author };
}

/**
 * The outline as it will stand in the record, shown until the receipt is back.
 * @param {EntryDraft} entry
 * @param {(geometry: Geometry) => string[]} cellsOf
 * @returns {Outline}
 */
export function expectedOutline(entry, cellsOf) {
  const body = /** @type {any} */ (entry.body);
  const size = sizes(body.geometry);
  const area = body.geometry.type.endsWith('Polygon');
  const line = body.geometry.type.endsWith('LineString');
  return {
    ...body,
    id: entry.object_id,
    entry: entry.id ?? '',
    cells: cellsOf(body.geometry),
    continues: body.continues ?? [],
    observed_by: entry.observed_by,
    area_sq_in: area ? size.area_sq_in : null,
    perimeter_in: area ? size.perimeter_in : null,
    length_in: line ? size.length_in : null,
    conflict: false,
    pending: true,
  };
}

/**
 * A free name for a new item: the cell it was first found in and a running number.
 * @param {string} cell
 * @param {Iterable<{item: string}>} outlines of this and the last survey
 */
export function freeItemName(cell, outlines) {
  let highest = 0;
  for (const { item } of outlines) {
    if (!item?.startsWith(`${cell}-`)) continue;
    const number = Number(item.slice(cell.length + 1));
    if (Number.isInteger(number)) highest = Math.max(highest, number);
  }
  return `${cell}-${highest + 1}`;
}

/**
 * The labels of the cells that an outline's box meets; the server's answer replaces it.
 * @param {{cellsInBox: (box: number[]) => string[]}} plan
 * @param {Geometry} geometry
 */
export function roughCells(plan, geometry) {
  return plan.cellsInBox(boundsOf(geometry));
}

/** @param {any} value */
function isEmpty(value) {
  if (value === undefined || value === null || value === '') return true;
  if (Array.isArray(value)) return value.length === 0;
  return typeof value === 'object' && Object.values(value).every(isEmpty);
}
