/**
 * How does the picture of a series look: least to most of each column, silences hatched, limits named?
 */

import { makeSvg } from '../shared/dom.js';
import { digitsOf, momentText, numberText, roundMoments, roundValues } from './series_scale.js';

/**
 * @typedef {object} Chart what the server says of a channel
 * @property {string} instrument
 * @property {string} channel
 * @property {string} words
 * @property {string} unit
 * @property {number} digits
 * @property {number} start
 * @property {number} end
 * @property {number} columns
 * @property {number[]} filled
 * @property {number[]} least
 * @property {number[]} most
 * @property {number} readings
 * @property {[number, number][]} gaps
 * @property {{level: string, value: number}[]} limits
 * @property {{name: string, start: number, end: number}[]} phases
 * @property {{name: string, start: number, end: number}[]} surveys
 * @property {{level: string, at: number}[]} exceedances
 */

export const HEIGHT = 320;
const LEFT = 64;
const RIGHT = 12;
const TOP = 50; // the title, the phases' names and the marks stand above the plot
const BOTTOM = 48; // days of surveys, then moments, stand below it
const PX_PER_MOMENT = 110;
const SURVEY_NAME = 40; // room for a survey's code
const NARROWEST_GAP = 4; // a short silence in a long span must still be seen

/** @typedef {{x: (seconds: number) => number, y: (value: number) => number, seconds: (x: number) => number, width: number}} Scales */

/**
 * The scales of a chart in a drawing of that width.
 * @param {Chart} chart @param {number} width
 * @returns {Scales}
 */
export function scalesOf(chart, width) {
  const shown = [...chart.least, ...chart.most, ...chart.limits.map((limit) => limit.value)];
  let low = shown.reduce((one, other) => Math.min(one, other), Infinity);
  let high = shown.reduce((one, other) => Math.max(one, other), -Infinity);
  if (!Number.isFinite(low)) [low, high] = [0, 1];
  const room = high > low ? (high - low) * 0.06 : Math.abs(high) * 0.05 + 0.5;
  [low, high] = [low - room, high + room];
  const inner = width - LEFT - RIGHT;
  const span = chart.end - chart.start;
  return {
    x: (seconds) => LEFT + ((seconds - chart.start) / span) * inner,
    y: (value) => HEIGHT - BOTTOM - ((value - low) / (high - low)) * (HEIGHT - TOP - BOTTOM),
    seconds: (x) => chart.start + ((x - LEFT) / inner) * span,
    width,
  };
}

/**
 * The drawing of a chart.
 * @param {Chart} chart @param {Scales} scales
 * @returns {SVGSVGElement}
 */
export function drawingOf(chart, scales) {
  const shown = [...chart.least, ...chart.most, ...chart.limits.map((limit) => limit.value)];
  const low = shown.reduce((one, other) => Math.min(one, other), Infinity);
  const high = shown.reduce((one, other) => Math.max(one, other), -Infinity);
  return makeSvg('svg', {
    viewBox: `0 0 ${scales.width} ${HEIGHT}`, tabindex: 0, role: 'img',
    'aria-label': `${chart.words} of ${chart.instrument}, ${chart.unit}. Arrow keys read along, plus and minus zoom, page keys move.`,
  },
  makeSvg('defs', {}, makeSvg('pattern', { id: 'series-hatch', width: 8, height: 8, patternUnits: 'userSpaceOnUse', patternTransform: 'rotate(45)' },
    makeSvg('line', { x1: 0, y1: 0, x2: 0, y2: 8, class: 'series-hatch-line' }))),
  phasesOf(chart, scales),
  Number.isFinite(low) ? valuesOf(chart, scales, low, high) : null,
  momentsOf(chart, scales),
  gapsOf(chart, scales),
  makeSvg('path', { class: 'series-line', d: lineOf(chart, scales) }),
  limitsOf(chart, scales),
  surveysOf(chart, scales),
  exceedancesOf(chart, scales),
  makeSvg('text', { class: 'series-text', x: 4, y: 14 }, `${chart.instrument}, ${chart.words}${chart.unit === '–' ? '' : `, ${chart.unit}`}`),
  makeSvg('line', { class: 'series-cross', 'data-cross': true, y1: TOP, y2: HEIGHT - BOTTOM, visibility: 'hidden' }));
}

/**
 * The path that runs through every column from least to most; broken at silences.
 * @param {Chart} chart @param {Scales} scales
 */
export function lineOf(chart, scales) {
  const width = (chart.end - chart.start) / chart.columns;
  const parts = [];
  let before = -Infinity;
  for (let n = 0; n < chart.filled.length; n += 1) {
    const column = chart.filled[n];
    const at = chart.start + (column + 0.5) * width;
    const x = scales.x(at).toFixed(1);
    const low = scales.y(chart.least[n]).toFixed(1);
    const high = scales.y(chart.most[n]).toFixed(1);
    parts.push(`${parts.length && !parted(chart, before, at) ? 'L' : 'M'}${x} ${low}`);
    parts.push(low === high ? 'h0.01' : `V${high}`);
    before = at;
  }
  return parts.join('');
}

/** Whether a silence lies between two moments. @param {Chart} chart @param {number} from @param {number} to */
function parted(chart, from, to) {
  let low = 0;
  let high = chart.gaps.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (chart.gaps[middle][1] <= from) low = middle + 1; else high = middle;
  }
  return low < chart.gaps.length && chart.gaps[low][0] < to;
}

/** @param {Chart} chart @param {Scales} scales */
function phasesOf(chart, scales) {
  return makeSvg('g', {}, chart.phases.flatMap((phase) => {
    const x1 = scales.x(Math.max(phase.start, chart.start));
    const x2 = scales.x(Math.min(phase.end, chart.end));
    return [
      makeSvg('rect', { class: 'series-phase', x: x1, y: TOP, width: Math.max(x2 - x1, 0), height: HEIGHT - TOP - BOTTOM }),
      x2 - x1 > 70 ? makeSvg('text', { class: 'series-text', x: x1 + 4, y: TOP - 20 }, phase.name) : null,
    ];
  }));
}

/** Days of surveys as named bars below the plot. @param {Chart} chart @param {Scales} scales */
function surveysOf(chart, scales) {
  let free = -Infinity;
  return makeSvg('g', {}, chart.surveys.flatMap((survey) => {
    const x1 = scales.x(Math.max(survey.start, chart.start));
    const x2 = scales.x(Math.min(survey.end, chart.end));
    const at = Math.min(x1, scales.width - SURVEY_NAME);
    const named = at >= free;
    if (named) free = at + SURVEY_NAME;
    return [
      makeSvg('rect', { class: 'series-survey', x: x1, y: HEIGHT - BOTTOM + 2, width: Math.max(x2 - x1, NARROWEST_GAP), height: 5 }),
      named ? makeSvg('text', { class: 'series-text series-survey-name', x: at, y: HEIGHT - BOTTOM + 21 }, survey.name) : null,
    ];
  }));
}

/** What passed a limit: a full wedge for red, an open one for amber. @param {Chart} chart @param {Scales} scales */
function exceedancesOf(chart, scales) {
  return makeSvg('g', {}, chart.exceedances.map((one) => {
    const x = scales.x(one.at);
    return makeSvg('path', { class: `series-passed-${one.level}`, d: `M${x - 5} ${TOP - 12}h10l-5 9z` },
      makeSvg('title', {}, `${one.level} exceedance`));
  }));
}

/** @param {Chart} chart @param {Scales} scales @param {number} low @param {number} high */
function valuesOf(chart, scales, low, high) {
  const values = roundValues(low, high, 5);
  const step = values.length > 1 ? values[1] - values[0] : 1;
  const digits = digitsOf(step);
  return makeSvg('g', {}, values.flatMap((value) => [
    makeSvg('line', { class: 'series-axis', x1: LEFT, x2: scales.width - RIGHT, y1: scales.y(value), y2: scales.y(value) }),
    makeSvg('text', { class: 'series-text', x: LEFT - 6, y: scales.y(value) + 4, 'text-anchor': 'end' }, numberText(value, digits)),
  ]));
}

/** @param {Chart} chart @param {Scales} scales */
function momentsOf(chart, scales) {
  const span = chart.end - chart.start;
  const moments = roundMoments(chart.start, chart.end, Math.max(Math.floor(scales.width / PX_PER_MOMENT), 2));
  return makeSvg('g', {}, moments.flatMap((at) => [
    makeSvg('line', { class: 'series-axis', x1: scales.x(at), x2: scales.x(at), y1: TOP, y2: HEIGHT - BOTTOM }),
    makeSvg('text', { class: 'series-text', x: Math.min(Math.max(scales.x(at), LEFT + 20), scales.width - RIGHT - 30), y: HEIGHT - 8, 'text-anchor': 'middle' }, momentText(at, span)),
  ]));
}

/** @param {Chart} chart @param {Scales} scales */
function gapsOf(chart, scales) {
  return makeSvg('g', {}, chart.gaps.flatMap(([from, to]) => {
    const x1 = scales.x(Math.max(from, chart.start));
    const x2 = scales.x(Math.min(to, chart.end));
    if (x2 <= x1) return [];
    return [
      makeSvg('rect', { class: 'series-gap', x: x1, y: TOP, width: Math.max(x2 - x1, NARROWEST_GAP), height: HEIGHT - TOP - BOTTOM }),
      x2 - x1 > 70 ? makeSvg('text', { class: 'series-text', x: (x1 + x2) / 2, y: TOP + 32, 'text-anchor': 'middle' }, 'unknown') : null,
    ];
  }));
}

/** @param {Chart} chart @param {Scales} scales */
function limitsOf(chart, scales) {
  return makeSvg('g', {}, chart.limits.flatMap((limit) => {
    const y = scales.y(limit.value);
    const end = scales.width - RIGHT;
    return [
      makeSvg('line', { class: `series-${limit.level}`, x1: LEFT, x2: end, y1: y, y2: y }),
      makeSvg('text', { class: `series-text series-${limit.level}-text`, x: end - 4, y: y - 5, 'text-anchor': 'end' },
        `${limit.level} ${numberText(limit.value, chart.digits)} ${chart.unit}`),
    ];
  }));
}
