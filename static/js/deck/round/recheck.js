/**
 * Which two answers are looked at again blind, and do first and second look agree? Pure: chance is passed in.
 */
import { ANSWER_WORDS } from './items.js';

/** @typedef {import('./items.js').Answer} Answer */
/** @typedef {{item: string, cell: string}} Pick an old outline that was answered, and the cell in which it was */
/** @typedef {{item: string, cell: string, first: Answer, second: Answer}} Recheck */

export const RECHECKS = 2;

/**
 * Two items answered "same", chosen by chance, from two cells where there are two.
 * @param {Pick[]} same
 * @param {() => number} random from 0 up to 1
 * @returns {Pick[]}
 */
export function chooseRechecks(same, random) {
  const left = [...same];
  /** @type {Pick[]} */
  const chosen = [];
  while (chosen.length < RECHECKS && left.length) {
    const taken = new Set(chosen.map(({ cell }) => cell));
    const fresh = left.filter(({ cell }) => !taken.has(cell));
    const among = fresh.length ? fresh : left;
    const pick = among[Math.min(among.length - 1, Math.floor(random() * among.length))];
    chosen.push(pick);
    left.splice(left.indexOf(pick), 1);
  }
  return chosen;
}

/** @param {Recheck} recheck */
export function agrees({ first, second }) {
  return first === second;
}

/** What the two looks say, plainly. @param {Recheck} recheck @param {string} itemName */
export function recheckSentence(recheck, itemName) {
  if (agrees(recheck)) return `${itemName} in ${recheck.cell}: both looks say ${word(recheck.first)}.`;
  return `${itemName} in ${recheck.cell}: first ${word(recheck.first)}, at the second look ${word(recheck.second)}. Both answers stay on record. Look at it again together.`;
}

/** What the whole recheck says. @param {Recheck[]} rechecks */
export function recheckSummary(rechecks) {
  if (!rechecks.length) return 'Nothing was answered "same" in this session, so nothing was looked at again.';
  const same = rechecks.filter(agrees).length;
  return `${rechecks.length} looked at again blind, ${same} answered as before.`;
}

/** @param {Answer} answer */
function word(answer) {
  return `"${ANSWER_WORDS[answer].toLowerCase()}"`;
}
