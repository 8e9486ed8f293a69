/**
 * What came of a session, in lines: cells settled and left open in each light, and how many outlines were answered how?
 * Pure.
 */
import { capital, inMode } from '../../wall/words.js';
import { ANSWER_WORDS } from './items.js';
import { isSettled } from './lift.js';

/**
 * @param {object} options
 * @param {string[]} options.cells of the session's bays
 * @param {string[]} options.modes of the survey
 * @param {(label: string, mode: string) => import('./lift.js').CellState} options.stateOf
 * @param {(label: string, mode: string) => boolean} options.worked whether a cell was looked at in this session
 * @param {Record<string, {answer: import('./items.js').Answer}>} options.answered
 * @returns {string[]}
 */
export function sessionSummary({ cells, modes, stateOf, worked, answered }) {
  const lines = modes.filter((mode) => cells.some((label) => worked(label, mode))).map((mode) => {
    const settled = cells.filter((label) => worked(label, mode) && isSettled(stateOf(label, mode)));
    const open = cells.filter((label) => !isSettled(stateOf(label, mode)));
    const skipped = settled.filter((label) => stateOf(label, mode) === 'not-examined');
    const done = settled.filter((label) => !skipped.includes(label));
    return `${capital(inMode(mode))}: ${count(done.length)} done${done.length ? ` (${done.join(', ')})` : ''}${skipped.length ? `, ${skipped.length} not examined (${skipped.join(', ')})` : ''}${open.length ? `; still open: ${open.join(', ')}` : ''}.`;
  });
  if (!lines.length) lines.push('No cell was looked at in this session.');
  const counts = /** @type {import('./items.js').Answer[]} */ (Object.keys(ANSWER_WORDS)).map((answer) => ({ answer, count: Object.values(answered).filter((one) => one.answer === answer).length })).filter(({ count }) => count > 0);
  if (counts.length) lines.push(`Outlines of the last survey answered: ${counts.map(({ answer, count }) => `${count} ${ANSWER_WORDS[answer].toLowerCase()}`).join(', ')}.`);
  return lines;
}

/** @param {number} cells */
function count(cells) {
  return `${cells} ${cells === 1 ? 'cell' : 'cells'}`;
}
