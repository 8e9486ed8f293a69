/**
 * How is a term drawn on this page: its hatch on the map's canvas, its swatch in lists and on buttons? The symbol itself
 * comes from the vocabulary; nothing is decided here.
 */
import { makeSvg } from '../shared/dom.js';

/**
 * @typedef {object} Tile the piece of a hatch that repeats before it is turned; pixels, y up
 * @property {number} width_px
 * @property {number} height_px
 * @property {number[]} rows
 * @property {number[]} columns
 * @property {number[][]} strokes
 *
 * @typedef {object} TermSymbol
 * @property {string} hue
 * @property {number} angle_deg
 * @property {number} weight_px
 * @property {string} letters
 * @property {number[] | null} [dash]
 * @property {{fill: string, stroke: string, stroke_width: number} | null} [mark]
 * @property {Tile} tile
 *
 * @typedef {object} Term
 * @property {string} code
 * @property {string} name
 * @property {string} layer
 * @property {string} kind
 * @property {string[]} geometry
 * @property {string[]} modes
 * @property {{name: string, unit: string, type?: string, choices?: string[]}[]} measures
 * @property {string} definition
 * @property {any[]} confusions
 * @property {boolean} near
 * @property {string} [urgency_hint]
 * @property {string} [mode_note]
 * @property {string[]} [synonyms]
 * @property {TermSymbol} symbol
 */

export class TermMarks {
  /** @param {Term[]} terms */
  constructor(terms) {
    this.terms = terms;
    this.byCode = new Map(terms.map((term) => [term.code, term]));
    /** @type {Map<string, CanvasPattern | null>} */
    this.patterns = new Map();
  }

  /** @param {string} code @returns {Term} a term that the page was not given is shown by its code */
  term(code) {
    return this.byCode.get(code) ?? { ...UNKNOWN_TERM, code, name: code.replaceAll('-', ' ') };
  }

  /** @param {string} code @param {number} pixelRatio @returns {CanvasPattern | null} */
  hatch(code, pixelRatio) {
    const key = `${code}:${pixelRatio}`;
    const known = this.patterns.get(key);
    if (known !== undefined) return known;
    const pattern = hatchPattern(this.term(code).symbol, pixelRatio);
    this.patterns.set(key, pattern);
    return pattern;
  }

  /** A small picture of the term's symbol, for buttons and lists. @param {string} code @param {number} [size_px] */
  swatch(code, size_px = 26) {
    const { symbol, geometry } = this.term(code);
    const svg = makeSvg('svg', { width: size_px, height: size_px, viewBox: '0 0 26 26', class: 'swatch', 'aria-hidden': 'true' });
    svg.append(makeSvg('rect', { x: 0.5, y: 0.5, width: 25, height: 25, fill: '#FFFFFF', stroke: symbol.hue, 'stroke-width': 1 }));
    if (geometry.includes('area')) svg.append(hatchLines(symbol));
    else if (geometry.includes('line')) {
      svg.append(makeSvg('path', { d: 'M2 20C8 4 16 22 24 6', fill: 'none', stroke: symbol.hue, 'stroke-width': 2.4, 'stroke-dasharray': symbol.dash?.length ? symbol.dash.map((part) => part * 0.5).join(' ') : null }));
    } else if (symbol.mark) svg.append(markShape(symbol));
    return svg;
  }
}

/** @type {Omit<Term, 'code' | 'name'>} */
const UNKNOWN_TERM = {
  layer: 'any', kind: 'D', geometry: ['area'], modes: ['normal'], measures: [], definition: '', confusions: [], near: false,
  symbol: { hue: '#77706A', angle_deg: 45, weight_px: 1.2, letters: '?', dash: [], mark: null, tile: { width_px: 8, height_px: 8, rows: [0], columns: [], strokes: [] } },
};

/** The hatch as a canvas pattern whose tile repeats unturned and is turned as a whole. @param {TermSymbol} symbol @param {number} pixelRatio */
function hatchPattern(symbol, pixelRatio) {
  const { tile } = symbol;
  // Several tiles to one bitmap keep the rounding of its size to whole pixels small.
  const repeats = 4;
  const canvas = document.createElement('canvas');
  canvas.width = Math.round(tile.width_px * repeats * pixelRatio);
  canvas.height = Math.round(tile.height_px * repeats * pixelRatio);
  const pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext('2d'));
  pen.scale(canvas.width / (tile.width_px * repeats), canvas.height / (tile.height_px * repeats));
  pen.strokeStyle = symbol.hue;
  pen.lineWidth = symbol.weight_px;
  pen.lineCap = 'round';
  pen.stroke(new Path2D(tilePath(tile, -1, -1, repeats + 1, repeats + 1)));
  const pattern = pen.createPattern(canvas, 'repeat');
  pattern?.setTransform(new DOMMatrix().rotate(-symbol.angle_deg));
  return pattern;
}

/** Path data of tiles from one column and row to another, y down. @param {Tile} tile @param {number} left @param {number} top @param {number} right @param {number} bottom */
function tilePath(tile, left, top, right, bottom) {
  const { width_px: w, height_px: h } = tile;
  let path = '';
  for (let row = top; row < bottom; row += 1) for (const y of tile.rows) path += `M${left * w} ${row * h - y}H${right * w}`;
  for (let column = left; column < right; column += 1) for (const x of tile.columns) path += `M${column * w + x} ${top * h}V${bottom * h}`;
  for (let row = top; row < bottom; row += 1) {
    for (let column = left; column < right; column += 1) {
      for (const [x0, y0, x1, y1] of tile.strokes) path += `M${column * w + x0} ${row * h - y0}L${column * w + x1} ${row * h - y1}`;
    }
  }
  return path;
}

/** @param {TermSymbol} symbol */
function hatchLines(symbol) {
  const { tile } = symbol;
  const reach = 26;
  const columns = Math.ceil(reach / tile.width_px);
  const rows = Math.ceil(reach / tile.height_px);
  const path = makeSvg('path', {
    d: tilePath(tile, -columns, -rows, columns, rows), fill: 'none', stroke: symbol.hue, 'stroke-width': symbol.weight_px, 'stroke-linecap': 'round',
    transform: `translate(13 13) rotate(${-symbol.angle_deg})`,
  });
  return makeSvg('svg', { x: 1, y: 1, width: 24, height: 24, viewBox: '1 1 24 24' }, path);
}

/** @param {TermSymbol} symbol */
function markShape(symbol) {
  const group = makeSvg('g', { transform: 'translate(13 13) scale(8)' });
  if (symbol.mark?.fill) group.append(makeSvg('path', { d: symbol.mark.fill, fill: symbol.hue }));
  if (symbol.mark?.stroke) group.append(makeSvg('path', { d: symbol.mark.stroke, fill: 'none', stroke: symbol.hue, 'stroke-width': symbol.mark.stroke_width }));
  return group;
}
