/**
 * Which of the last survey's outlines are asked about in a cell under one light, which comes next, and which are left
 * for another light? Pure: it answers nothing itself.
 */
import { formatArea } from '../../shared/lengths.js';
import { capital, modeName, sizeText } from '../../wall/words.js';

/** @typedef {import('../../wall/statements.js').Outline} Outline */
/** @typedef {'same' | 'worse' | 'cannot-see' | 'look-closer' | 'smaller' | 'not-found'} Answer */

/** The answers in words, as they stand on the controls. @type {Record<Answer, string>} */
export const ANSWER_WORDS = { same: 'Same', worse: 'Worse', 'cannot-see': "Can't see", 'look-closer': 'Look closer', smaller: 'Smaller', 'not-found': 'Not found' };

/**
 * Whether an old outline is judged under this light: flaking waits for raking light whatever it was once drawn in.
 * @param {Outline} outline
 * @param {string} mode
 * @param {{modes: string[]}} term
 */
export function judgedIn(outline, mode, term) {
  return term.modes.length ? term.modes.includes(mode) : outline.mode === mode;
}

/**
 * The old outlines of a cell, parted by what is to be done with them now.
 * @param {object} options
 * @param {Outline[]} options.open last survey's outlines that nothing continues
 * @param {string} options.cell
 * @param {string} options.mode
 * @param {(code: string) => {modes: string[]}} options.term
 * @param {Iterable<string>} options.settled ids answered "can't see" or "not found", which no entry continues
 * @param {Iterable<string>} options.closer ids to be looked at more closely
 */
export function partItems({ open, cell, mode, term, settled, closer }) {
  const [answered, later] = [new Set(settled), new Set(closer)];
  const here = readingOrder(open.filter((outline) => outline.cells.includes(cell) && !answered.has(outline.id)));
  const now = here.filter((outline) => judgedIn(outline, mode, term(outline.term)));
  return {
    unanswered: now.filter((outline) => !later.has(outline.id)),
    closer: now.filter((outline) => later.has(outline.id)),
    otherLight: here.filter((outline) => !now.includes(outline)),
  };
}

/** From the top down, then along the wall, as the scribe reads. @param {Outline[]} outlines */
function readingOrder(outlines) {
  const placed = outlines.map((outline) => ({ outline, at: topLeft(outline.geometry.coordinates) }));
  placed.sort((one, other) => other.at[1] - one.at[1] || one.at[0] - other.at[0] || (one.outline.id < other.outline.id ? -1 : 1));
  return placed.map(({ outline }) => outline);
}

/** @param {any} coordinates @returns {[number, number]} leftmost and uppermost of all its points [in] */
function topLeft(coordinates) {
  if (typeof coordinates[0] === 'number') return [coordinates[0], coordinates[1]];
  return coordinates.map(topLeft).reduce((/** @type {number[]} */ [x, y], /** @type {number[]} */ point) => [Math.min(x, point[0]), Math.max(y, point[1])], [Infinity, -Infinity]);
}

/**
 * The item to show next: the one after the last shown that is unanswered, else the first unanswered, else the first
 * that was to be looked at more closely.
 * @param {{unanswered: Outline[], closer: Outline[]}} parts
 * @param {Outline[]} order all items of the cell in their order before the answer
 * @param {string | null} left id of the item just answered
 * @returns {Outline | null}
 */
export function nextItem(parts, order, left) {
  const from = order.findIndex(({ id }) => id === left);
  const waiting = new Set(parts.unanswered.map(({ id }) => id));
  const later = order.slice(from + 1).find(({ id }) => waiting.has(id));
  return later ?? parts.unanswered[0] ?? parts.closer.find(({ id }) => id !== left) ?? parts.closer[0] ?? null;
}

/**
 * What the scribe reads aloud of an old outline: term, size and what was measured, then the note in its own line.
 * @param {Outline} outline
 * @param {{name: string}} term
 * @param {string} cell the cell in which it is asked
 */
export function readAloud(outline, term, cell) {
  const elsewhere = outline.cells.filter((label) => label !== cell);
  const size = outline.geometry.type.endsWith('Polygon') && outline.area_sq_in ? formatArea(outline.area_sq_in) : sizeText(outline);
  const measured = Object.entries(outline.measures ?? {}).map(([name, value]) => `${name}: ${value}`);
  return {
    title: `${outline.item} · ${capital(term.name)}`,
    size: [size, ...measured, outline.edge ? `edge ${outline.edge}` : ''].filter(Boolean).join(', '),
    reach: elsewhere.length ? `Reaches into ${elsewhere.slice(0, 4).join(', ')}${elsewhere.length > 4 ? ` and ${elsewhere.length - 4} more` : ''}; one answer holds for all of it.` : '',
    note: outline.note ?? '',
  };
}

/** What of a cell waits for another light, in words; empty when nothing does. @param {Outline[]} outlines @param {(code: string) => {modes: string[]}} term */
export function otherLightText(outlines, term) {
  if (!outlines.length) return '';
  const modes = [...new Set(outlines.flatMap((outline) => term(outline.term).modes.slice(0, 1)))].map(modeName);
  return `${outlines.length} ${outlines.length === 1 ? 'outline is' : 'outlines are'} judged in another way and not asked here: ${modes.join(', ')}.`;
}
