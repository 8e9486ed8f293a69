/**
 * What exactly is asserted when a cell is called done? The sentences for one cell in one light, from what was looked for,
 * drawn, hidden and left. Pure; the entry's body says the same.
 */
import { formatArea } from '../../shared/lengths.js';
import { sizes } from '../../wall/geometry.js';
import { doneSentence, inMode } from '../../wall/words.js';

/** @typedef {import('./round_state.js').CellWork} CellWork */

/**
 * The assertion in sentences: first what is still open, then what is stated.
 * @param {object} options
 * @param {string} options.cell
 * @param {string} options.mode
 * @param {CellWork} options.work
 * @param {string[]} options.names terms looked for, by name
 * @param {string[]} options.missed terms of the search list that were not looked for, by name
 * @param {string[]} options.drawn what stands drawn in the cell: item and term
 * @param {(id: string) => string} [options.itemName] of an old outline
 * @param {string[]} options.notFound items of the last survey that were not found
 * @returns {{title: string, sentences: string[]}}
 */
export function assertion({ cell, mode, work, names, missed, drawn, notFound, itemName }) {
  const sentences = [doneSentence(names, mode, drawn.length > 0)];
  if (missed.length) sentences.push(`Not looked for: ${missed.join(', ')}.`);
  if (drawn.length) sentences.push(`Drawn: ${shortList(drawn, 6)}.`);
  if (notFound.length) sentences.push(`Drawn in the last survey and not found: ${shortList(notFound, 6)}.`);
  sentences.push(sightSentence(work), hiddenSentence(work, itemName));
  return { title: `${cell} done ${inMode(mode)} states:`, sentences };
}

/** @param {CellWork} work */
export function sightSentence({ sight, touch }) {
  if (sight === null) return 'How it was seen is not said yet.';
  if (sight === 'seen') return 'Seen, not within touch.';
  return touch ? `Within touch: ${formatArea(sizes(touch).area_sq_in)} of the cell; the rest seen only or hidden.` : 'Within touch.';
}

/** Parts by their size; an old outline that could not be seen by its name. @param {CellWork} work @param {(id: string) => string} [itemName] */
export function hiddenSentence({ hidden }, itemName = () => 'an outline') {
  if (!hidden?.length) return 'Nothing was hidden.';
  const parts = hidden.map(({ geometry, cause, item }) => `${item ? itemName(item) : formatArea(sizes(geometry).area_sq_in)} behind ${cause || 'a cause not named'}`);
  return `Hidden: ${shortList(parts, 4)}.`;
}

/**
 * What is still open in a cell, the gravest first; empty when nothing is.
 * @param {{unanswered: {item: string}[], closer: {item: string}[], underPen?: boolean}} parts
 */
export function openSentences({ unanswered, closer, underPen = false }) {
  const sentences = underPen ? ['An outline is under the pen and not put down.'] : [];
  if (unanswered.length) sentences.push(`${unanswered.length} not answered yet: ${shortList(unanswered.map(({ item }) => item), 6)}.`);
  if (closer.length) sentences.push(`To be looked at more closely: ${shortList(closer.map(({ item }) => item), 6)}.`);
  return sentences;
}

/** @param {string[]} texts @param {number} most */
function shortList(texts, most) {
  const rest = texts.length - most;
  return rest > 0 ? `${texts.slice(0, most).join('; ')} and ${rest} more` : texts.join('; ');
}
