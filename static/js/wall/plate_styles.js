/**
 * With which strokes, hatches and letters do outlines, ghosts, grid and openings appear on the plate? Far away an outline
 * is a line, nearer it gets its hatch, nearest its letters; every outline has a light and a dark stroke.
 */

/** @typedef {import('./marks.js').TermMarks} TermMarks */

const HATCH_FROM_PX = 14;
const LETTERS_FROM_PX = 34;
const LIGHT = 'rgba(255,252,246,0.92)';
const FONT = '"Source Sans 3", sans-serif';
const INK = '#211C17';

const stroke = (/** @type {string} */ color, /** @type {number} */ width, /** @type {number[]} */ lineDash = []) => new ol.style.Stroke({ color, width, lineDash });
const paint = (/** @type {any} */ color) => new ol.style.Fill({ color });

/** The chosen outline: a broad light band inside a dark one, around its own line. */
export const CHOSEN_STYLES = [
  new ol.style.Style({ stroke: stroke(INK, 9), image: ring(15, INK, 5) }),
  new ol.style.Style({ stroke: stroke('#FFD98A', 5), image: ring(15, '#FFD98A', 3) }),
];

/**
 * How the bare wall and what stands before it look: the ground's fill and edge, grid, openings, obstructions.
 * @typedef {{wall: string, edge: string, opening: string, before: string, beforeTouch: string, grid: any[]}} Looks
 */

/** @type {Looks} for the desk, on paper */
export const PAPER_LOOKS = {
  wall: '#EFE8DA', edge: INK, opening: '#C9C1B2', before: 'rgba(33,28,23,0.6)', beforeTouch: 'rgba(94,85,74,0.45)',
  get grid() { return [new ol.style.Style({ stroke: stroke('rgba(33,28,23,0.45)', 1) })]; },
};

/** @type {Looks} for the deck, by lamp light; lines that are seen on the dark ground and on any picture */
export const LAMP_LOOKS = {
  wall: '#2A221B', edge: '#B9AC97', opening: '#14100C', before: 'rgba(240,231,216,0.55)', beforeTouch: 'rgba(240,231,216,0.3)',
  get grid() { return [new ol.style.Style({ stroke: stroke('rgba(20,16,12,0.5)', 2.6) }), new ol.style.Style({ stroke: stroke('rgba(240,231,216,0.6)', 1) })]; },
};

export const CELL_FRAME_STYLES = [new ol.style.Style({ stroke: stroke(LIGHT, 4.5) }), new ol.style.Style({ stroke: stroke('#9A3B20', 2.5) })];

/** @param {number} radius @param {string} color @param {number} width */
function ring(radius, color, width) {
  return new ol.style.Circle({ radius, stroke: stroke(color, width) });
}

/** Cell names stand in the cells' corners once a cell is large enough. @param {any} feature @param {number} resolution_in */
export function gridLabelStyle(feature, resolution_in) {
  if (feature.get('width_in') / resolution_in < 56) return undefined;
  return new ol.style.Style({
    text: new ol.style.Text({
      text: feature.get('label'), font: `600 13px ${FONT}`, textAlign: 'left', textBaseline: 'top', offsetX: 4, offsetY: 4,
      fill: paint(INK), stroke: stroke(LIGHT, 3),
    }),
  });
}

/** @param {string} name @param {Looks} looks */
export function openingStyle(name, looks) {
  return named(new ol.style.Style({ fill: paint(looks.opening), stroke: stroke(looks.edge, 1.2) }), `Opening: ${name}`, 90);
}

/** @param {{name: string, cause: string, touch_only?: boolean}} obstruction @param {Looks} looks */
export function obstructionStyle({ name, touch_only }, looks) {
  const pattern = stripes(touch_only ? looks.beforeTouch : looks.before, touch_only ? 14 : 7, touch_only ? 1 : 1.6);
  return named(new ol.style.Style({ fill: paint(pattern), stroke: stroke('#5E554A', 1, [6, 4]) }), name, 160);
}

/** Hidden parts stated in an examination. @param {string} cause */
export function hiddenStyle(cause) {
  return named(new ol.style.Style({ fill: paint(crossStripes()), stroke: stroke('#33566F', 2, [3, 3]) }), `Hidden: ${cause || 'cause not stated'}`, 150);
}

/** A shape with its name, once it is wide enough to carry it. @param {any} shape @param {string} text @param {number} fewest_px */
function named(shape, text, fewest_px) {
  const name = new ol.style.Style({ text: new ol.style.Text({ text, font: `italic 13px ${FONT}`, fill: paint(INK), stroke: stroke(LIGHT, 3), overflow: true }) });
  return (/** @type {any} */ feature, /** @type {number} */ resolution_in) => (ol.extent.getWidth(feature.getGeometry().getExtent()) / resolution_in < fewest_px ? shape : [shape, name]);
}

/** The style function of this survey's outlines. @param {TermMarks} marks */
export function outlineStyles(marks) {
  const ratio = Math.max(1, window.devicePixelRatio || 1);
  /** @type {Map<string, any>} */
  const known = new Map();
  return (/** @type {any} */ feature, /** @type {number} */ resolution_in) => {
    const detail = detailOf(feature, resolution_in);
    const state = feature.get('conflict') ? 'conflict' : feature.get('pending') ? 'pending' : '';
    const key = `${feature.get('term')}:${detail}:${state}`;
    let style = known.get(key);
    if (!style) {
      style = makeOutlineStyle(marks, feature.get('term'), detail, state, ratio);
      known.set(key, style);
    }
    return style;
  };
}

/** Last survey's outlines: broken line, no hatch, so that nobody takes them for today's. @param {TermMarks} marks */
export function previousStyles(marks) {
  /** @type {Map<string, any>} */
  const known = new Map();
  return (/** @type {any} */ feature, /** @type {number} */ resolution_in) => {
    const detail = detailOf(feature, resolution_in);
    const key = `${feature.get('term')}:${detail}`;
    let style = known.get(key);
    if (!style) {
      style = makePreviousStyle(marks, feature.get('term'), detail);
      known.set(key, style);
    }
    return style;
  };
}

/** @param {any} feature @param {number} resolution_in @returns {'far' | 'near' | 'close'} */
function detailOf(feature, resolution_in) {
  const box = feature.getGeometry().getExtent();
  const size_px = Math.max(box[2] - box[0], box[3] - box[1]) / resolution_in;
  const type = feature.getGeometry().getType();
  if (type === 'Point' || type === 'MultiPoint') return resolution_in > 0.35 ? 'far' : 'close';
  return size_px < HATCH_FROM_PX ? 'far' : size_px < LETTERS_FROM_PX ? 'near' : 'close';
}

/** @param {TermMarks} marks @param {string} code @param {string} detail @param {string} state @param {number} ratio */
function makeOutlineStyle(marks, code, detail, state, ratio) {
  const { symbol } = marks.term(code);
  const lineDash = state === 'pending' ? [5, 4] : symbol.dash?.length ? symbol.dash : [];
  if (detail === 'far') return new ol.style.Style({ stroke: stroke(symbol.hue, 1.4), image: pointMark(symbol, 3), fill: paint(`${symbol.hue}44`) });
  const styles = [
    new ol.style.Style({ stroke: stroke(LIGHT, 4), fill: paint(marks.hatch(code, ratio)) }),
    new ol.style.Style({ stroke: stroke(state === 'conflict' ? '#A11D1D' : symbol.hue, 2, lineDash), image: pointMark(symbol, 8) }),
  ];
  if (detail === 'close') styles.push(letters(symbol.letters + (state === 'conflict' ? ' !' : ''), INK));
  return styles;
}

/** @param {TermMarks} marks @param {string} code @param {string} detail */
function makePreviousStyle(marks, code, detail) {
  const { symbol } = marks.term(code);
  const line = new ol.style.Style({ stroke: stroke('#33566F', 1.6, [2, 4]), image: pointMark({ ...symbol, hue: '#33566F' }, detail === 'far' ? 3 : 7), fill: paint('rgba(255,255,255,0.01)') });
  if (detail === 'far') return line;
  const styles = [new ol.style.Style({ stroke: stroke(LIGHT, 3.4) }), line];
  if (detail === 'close') styles.push(letters(symbol.letters, '#33566F', 'italic'));
  return styles;
}

/** @param {string} text @param {string} color @param {string} [slant] */
function letters(text, color, slant = '') {
  return new ol.style.Style({ text: new ol.style.Text({ text, font: `${slant} 700 13px ${FONT}`, fill: paint(color), stroke: stroke(LIGHT, 4), overflow: true }) });
}

/** @param {import('./marks.js').TermSymbol} symbol @param {number} radius */
function pointMark(symbol, radius) {
  if (!symbol.mark) return new ol.style.Circle({ radius: radius * 0.6, fill: paint(symbol.hue), stroke: stroke(LIGHT, 2) });
  const { fill, stroke: line, stroke_width } = symbol.mark;
  const size = radius * 2 + 6;
  const canvas = document.createElement('canvas');
  canvas.width = size * 2;
  canvas.height = size * 2;
  const pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext('2d'));
  pen.translate(size, size);
  pen.scale(radius * 2, radius * 2);
  for (const [color, extra] of /** @type {const} */ ([[LIGHT, 0.5], [symbol.hue, 0]])) {
    pen.strokeStyle = color;
    pen.fillStyle = color;
    pen.lineWidth = stroke_width + extra;
    pen.lineJoin = 'round';
    if (fill) { pen.fill(new Path2D(fill)); if (extra) pen.stroke(new Path2D(fill)); }
    if (line) pen.stroke(new Path2D(line));
  }
  return new ol.style.Icon({ img: canvas, width: size, height: size });
}

/** Level lines, for what stands before the wall. @param {string} color @param {number} spacing_px @param {number} width */
function stripes(color, spacing_px, width) {
  return tile(spacing_px, color, width, (pen) => { pen.moveTo(0, spacing_px / 2); pen.lineTo(spacing_px, spacing_px / 2); });
}

/** Upright crosses, for what was not seen. */
function crossStripes() {
  return tile(11, 'rgba(51,86,111,0.85)', 1.4, (pen) => { pen.moveTo(5.5, 2.5); pen.lineTo(5.5, 8.5); pen.moveTo(2.5, 5.5); pen.lineTo(8.5, 5.5); });
}

/** @param {number} size @param {string} color @param {number} width @param {(pen: CanvasRenderingContext2D) => void} draw */
function tile(size, color, width, draw) {
  const ratio = Math.max(1, window.devicePixelRatio || 1);
  const canvas = document.createElement('canvas');
  canvas.width = Math.round(size * ratio);
  canvas.height = Math.round(size * ratio);
  const pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext('2d'));
  pen.scale(canvas.width / size, canvas.height / size);
  pen.strokeStyle = color;
  pen.lineWidth = width;
  pen.beginPath();
  draw(pen);
  pen.stroke();
  return pen.createPattern(canvas, 'repeat');
}
