/**
 * With which marks do outlines appear on the deck? As at the desk, only that what was seen unchanged stands back, and
 * that an answered outline carries a small mark of its answer.
 */
import { outlineStyles, previousStyles } from '../../wall/plate_styles.js';

/** @typedef {import('../../wall/marks.js').TermMarks} TermMarks */

const LIGHT = 'rgba(255,252,246,0.92)';
const INK = '#211C17';
const FONT = '"Source Sans 3", sans-serif';

/** A mark for each answer, beside the word that the page says. @type {Record<string, string>} */
export const ANSWER_MARKS = { same: '✓', worse: '▲', 'cannot-see': '–', 'look-closer': '?' };

/** The frame of the bay: light on dark, broken, so that the chosen cell's own frame stands out. */
export function bayFrameStyle() {
  return [
    new ol.style.Style({ stroke: new ol.style.Stroke({ color: 'rgba(20,16,12,0.7)', width: 4 }) }),
    new ol.style.Style({ stroke: new ol.style.Stroke({ color: '#F0E7D8', width: 1.8, lineDash: [10, 6] }) }),
  ];
}

/** The frame of the chosen cell. */
export function cellFrameStyle() {
  return [
    new ol.style.Style({ stroke: new ol.style.Stroke({ color: 'rgba(20,16,12,0.8)', width: 7 }) }),
    new ol.style.Style({ stroke: new ol.style.Stroke({ color: '#E58E66', width: 3.5 }) }),
  ];
}

/** @param {TermMarks} marks */
export function deckOutlineStyles(marks) {
  const standing = outlineStyles(marks);
  /** @type {Map<string, any>} */
  const quiet = new Map();
  return (/** @type {any} */ feature, /** @type {number} */ resolution_in) => {
    if (feature.get('basis') !== 'seen-no-change' || feature.get('conflict')) return standing(feature, resolution_in);
    const code = feature.get('term');
    const near = isNear(feature, resolution_in);
    const key = `${code}:${near}`;
    if (!quiet.has(key)) quiet.set(key, quietStyle(marks, code, near));
    return quiet.get(key);
  };
}

/** @param {TermMarks} marks @param {(id: string) => string | undefined} answerOf */
export function deckPreviousStyles(marks, answerOf) {
  const open = previousStyles(marks);
  return (/** @type {any} */ feature, /** @type {number} */ resolution_in) => {
    const styles = open(feature, resolution_in);
    const mark = ANSWER_MARKS[answerOf(String(feature.getId())) ?? ''];
    return mark ? [styles, answerStyle(mark)].flat() : styles;
  };
}

/** @param {any} feature @param {number} resolution_in */
function isNear(feature, resolution_in) {
  const box = feature.getGeometry().getExtent();
  return Math.max(box[2] - box[0], box[3] - box[1]) / resolution_in > 34;
}

/** @param {TermMarks} marks @param {string} code @param {boolean} near */
function quietStyle(marks, code, near) {
  const { symbol } = marks.term(code);
  const line = new ol.style.Style({
    stroke: new ol.style.Stroke({ color: symbol.hue, width: 1.4 }), fill: new ol.style.Fill({ color: 'rgba(255,255,255,0.01)' }),
    image: new ol.style.Circle({ radius: 5, stroke: new ol.style.Stroke({ color: symbol.hue, width: 2 }), fill: new ol.style.Fill({ color: LIGHT }) }),
  });
  const light = new ol.style.Style({ stroke: new ol.style.Stroke({ color: LIGHT, width: 3 }) });
  return near ? [light, line, wordStyle(`${symbol.letters} ✓`)] : [light, line];
}

/** @param {string} text */
function wordStyle(text) {
  return new ol.style.Style({ text: new ol.style.Text({ text, font: `600 13px ${FONT}`, fill: new ol.style.Fill({ color: INK }), stroke: new ol.style.Stroke({ color: LIGHT, width: 4 }), overflow: true }) });
}

/** @param {string} mark */
function answerStyle(mark) {
  return new ol.style.Style({
    text: new ol.style.Text({ text: mark, font: `700 18px ${FONT}`, offsetX: 18, offsetY: -14, overflow: true, fill: new ol.style.Fill({ color: INK }), stroke: new ol.style.Stroke({ color: LIGHT, width: 5 }) }),
  });
}
