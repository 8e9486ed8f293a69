/**
 * Which squares are dark in the slate's pattern? A QR code (ISO/IEC 18004) as a path on a grid; the maker is handed in.
 */
import { make, makeSvg } from '../../shared/dom.js';

/** Blank squares that the standard asks for on every side. */
export const QUIET_SQUARES = 4;
/** Of the standard's four levels the one that bears 15 % of damage: dust, glare, a blurred edge. */
const CORRECTION = 'M';

/** @typedef {(type: number, level: string) => {addData: (text: string, mode: string) => void, make: () => void, getModuleCount: () => number, isDark: (row: number, column: number) => boolean}} PatternMaker */

/** @param {string} text plain ASCII @param {PatternMaker} maker @returns {boolean[][]} rows of squares, true where dark */
export function patternOf(text, maker) {
  const code = maker(0, CORRECTION);
  code.addData(text, 'Byte');
  code.make();
  const count = code.getModuleCount();
  return Array.from({ length: count }, (_, row) => Array.from({ length: count }, (__, column) => code.isDark(row, column)));
}

/** The dark squares as one path, each run of a row as one bar. @param {boolean[][]} pattern */
export function pathOf(pattern) {
  const bars = pattern.flatMap((row, y) => runsOf(row).map(([from, to]) => `M${from + QUIET_SQUARES} ${y + QUIET_SQUARES}h${to - from}v1h${from - to}z`));
  return bars.join('');
}

/** @param {boolean[]} row @returns {[number, number][]} */
function runsOf(row) {
  /** @type {[number, number][]} */
  const runs = [];
  row.forEach((dark, at) => {
    const last = runs[runs.length - 1];
    if (dark && last && last[1] === at) last[1] = at + 1;
    else if (dark) runs.push([at, at + 1]);
  });
  return runs;
}

/** The pattern black on white with its blank margin. @param {boolean[][]} pattern @param {string} words what it says, for those who do not see it */
export function patternPicture(pattern, words) {
  const side = pattern.length + 2 * QUIET_SQUARES;
  const place = make('div', { class: 'slate-code' });
  // Whole pixels for each square, so that all are equally wide.
  place.style.setProperty('--square-count', `${side}px`);
  place.append(makeSvg('svg', { viewBox: `0 0 ${side} ${side}`, role: 'img', 'aria-label': words, 'shape-rendering': 'crispEdges' },
    makeSvg('rect', { width: side, height: side, fill: '#FFFFFF' }), makeSvg('path', { d: pathOf(pattern), fill: '#000000' })));
  return place;
}
