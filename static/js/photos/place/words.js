/**
 * In which words does the marking page speak of residuals, errors and what points say? One place, so that a word never differs.
 */
import { formatFeetInches } from '../../shared/lengths.js';
import { FEWEST_POINTS } from './marking.js';

/** From here on, feet and inches say more than thousandths. */
const FEET_FROM_IN = 1;

/** A small length in thousandths of an inch. @param {number} length_in */
export function thousandths(length_in) {
  return `${length_in.toFixed(3)}\u00a0in`;
}

/** A residual's length: 0.013 in, or 1′ 0 ½″ (12.500 in). @param {number} length_in */
export function residualText(length_in) {
  if (length_in < FEET_FROM_IN) return thousandths(length_in);
  return `${formatFeetInches(length_in)} (${thousandths(length_in)})`;
}

/** The same without its thousandths where feet and inches say it. @param {number} length_in */
export function shortResidual(length_in) {
  return length_in < FEET_FROM_IN ? thousandths(length_in) : formatFeetInches(length_in);
}

/** What is to be done now. @param {import('./marking.js').Marking} marking */
export function nowText(marking, statements = /** @type {string[]} */ ([])) {
  const { chosen, marks, complete, next } = marking;
  if (next) return `Tap the place of "${next.name}" on the photograph.`;
  if (chosen && !chosen.target) return `Point ${marking.numberOf(chosen.id)}: set it with the magnifier, then say which place of the wall it is.`;
  const nameless = marks.find(({ target }) => !target);
  if (nameless) return `Point ${marking.numberOf(nameless.id)} has no place on the wall yet.`;
  if (complete.length < FEWEST_POINTS) {
    const left = FEWEST_POINTS - complete.length;
    return marks.length ? `Tap the next place that you know on the wall: ${left} more at least, well apart.` : 'Tap a place that you know on the wall: a grid crossing, a corner of the cell, or a mark off the original paint.';
  }
  if (complete.length === FEWEST_POINTS) return 'Four points always fit; nothing is checked by them. Mark two to four more.';
  if (statements.some(isWarning)) return `${complete.length} points, and not all agree. Read what they say before placing.`;
  return `${complete.length} points. Judge the residuals, mark more, or place the photograph.`;
}

/** Whether a statement asks to look again. @param {string} statement */
export function isWarning(statement) {
  return /disagree|not be flat/.test(statement);
}

/**
 * The points that the others contradict, by what the server says of them.
 * @param {{points: {name: string}[], statements: string[]}} answer
 * @returns {Set<string>}
 */
export function doubtedNames({ points, statements }) {
  // The server quotes a name of several words.
  const isTold = (/** @type {string} */ name) => statements.some((words) => [name, `“${name}”`].some((shown) => words.startsWith(`Point ${shown} disagrees`)));
  return new Set(points.map(({ name }) => name).filter(isTold));
}
