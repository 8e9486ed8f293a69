/**
 * Where on the whole wall are we? The wall as a long strip, to scale: ground, openings, grid, decks, obstructions, what was
 * not seen, outlines, and the chosen cell in its frame. Click, tap or arrow keys choose a cell.
 */
import { makeSvg } from '../shared/dom.js';
import { lines } from './geometry.js';

/** @typedef {import('./plan.js').WallPlan} WallPlan */
/** @typedef {{done: boolean, state: string | null, hidden: {geometry: import('./geometry.js').Geometry, cause: string}[]}} CellState */

/** Room around the wall for names, as parts of its width and height. */
const ROOM = { left: 0.02, leftOfHeight: 0.15, right: 0.026, rightOfHeight: 0.1, top: 0.115, bottom: 0.06 };
const TEXT_PX = 12;
/** Hatches of the strip: spacing and strokes in pixels. */
const HATCHES = {
  unstated: { size: 10, path: 'M0 10L10 0', color: '#B9AE9C', width: 0.7 },
  'not-examined': { size: 5, path: 'M0 0L5 5', color: '#33566F', width: 1.1 },
  hidden: { size: 7, path: 'M3.5 1V6M1 3.5H6', color: '#33566F', width: 1.2 },
  obstruction: { size: 4, path: 'M0 2H4', color: '#211C17', width: 1 },
  reach: { size: 8, path: 'M0 4H8', color: '#5E554A', width: 0.8 },
};

export class Strip {
  /**
   * @param {object} options
   * @param {HTMLElement} options.target
   * @param {WallPlan} options.plan
   * @param {(cell: string) => void} options.onChoose
   */
  constructor({ target, plan, onChoose }) {
    this.plan = plan;
    this.onChoose = onChoose;
    this.cell = plan.labels[0];
    const { width_in, height_in } = plan;
    // A short wall is drawn larger, so its labels need a share of the height at least.
    const left = Math.max(ROOM.left * width_in, ROOM.leftOfHeight * height_in);
    const right = Math.max(ROOM.right * width_in, ROOM.rightOfHeight * height_in);
    this.box = { x: -left, y: -ROOM.top * height_in, width: left + width_in + right, height: height_in * (1 + ROOM.top + ROOM.bottom) };
    this.picture = makeSvg('g', { class: 'strip-picture', 'aria-hidden': 'true' });
    this.states = makeSvg('g');
    this.outlines = makeSvg('g');
    this.view = makeSvg('rect', { class: 'strip-view' });
    this.frame = makeSvg('rect', { class: 'strip-frame' });
    this.texts = makeSvg('g', { class: 'strip-texts' });
    this.patterns = Object.entries(HATCHES).map(([name, hatch]) => hatchPattern(name, hatch));
    this.svg = makeSvg('svg', { class: 'strip-svg', viewBox: `${this.box.x} ${this.box.y} ${this.box.width} ${this.box.height}`, tabindex: '0', role: 'group', 'aria-label': 'Whole wall. Arrow keys choose a cell.', 'aria-describedby': 'strip-cell' });
    this.svg.append(makeSvg('defs', {}, this.patterns), this.drawing(), this.texts);
    target.prepend(this.svg);
    target.style.setProperty('--strip-aspect', String(this.box.width / this.box.height));
    this.listen();
    new ResizeObserver(() => this.keepTextSize()).observe(this.svg);
    this.keepTextSize();
  }

  /** Frame a cell. @param {string} label */
  choose(label) {
    this.cell = label;
    placeRect(this.frame, this.plan.bounds(label));
  }

  /** Show which part of the wall the plate shows. @param {number[]} box [in] */
  showView(box) {
    const { width_in, height_in } = this.plan;
    placeRect(this.view, [Math.max(0, box[0]), Math.max(0, box[1]), Math.min(width_in, box[2]), Math.min(height_in, box[3])]);
  }

  /** Lay the picture faintly under all. @param {import('./base_pictures.js').TilePlace[]} tiles */
  showPicture(tiles) {
    // The drawing is turned so that y goes up; pictures stand upright in it.
    this.picture.replaceChildren(...tiles.map(({ url, box_in: [x0, y0, x1, y1] }) => makeSvg('image', { href: url, width: x1 - x0, height: y1 - y0, preserveAspectRatio: 'none', transform: `translate(${x0} ${y1}) scale(1 -1)` })));
  }

  /** Draw the outlines, one path a hue. @param {Iterable<{geometry: import('./geometry.js').Geometry, hue: string}>} shapes */
  showOutlines(shapes) {
    /** @type {Map<string, string[]>} */
    const paths = new Map();
    for (const { geometry, hue } of shapes) {
      const path = paths.get(hue) ?? [];
      paths.set(hue, path);
      path.push(stripPath(geometry));
    }
    this.outlines.replaceChildren(...[...paths].map(([hue, path]) => makeSvg('path', { d: path.join(''), fill: hue, 'fill-opacity': 0.5, stroke: hue, 'stroke-width': 1.2, 'stroke-linecap': 'round', 'vector-effect': 'non-scaling-stroke' })));
  }

  /** Draw what was examined of each cell. @param {(label: string) => CellState | null} stateOf */
  showStates(stateOf) {
    const { unstated, ticks, marks } = { unstated: /** @type {string[]} */ ([]), ticks: /** @type {string[]} */ ([]), marks: /** @type {SVGElement[]} */ ([]) };
    for (const label of this.plan.labels) {
      const state = stateOf(label);
      const box = this.plan.bounds(label);
      if (!state) unstated.push(boxPath(box));
      else if (state.state === 'not-examined') marks.push(makeSvg('path', { d: boxPath(box), fill: 'url(#strip-not-examined)' }));
      if (state?.done) ticks.push(tickPath(box));
      for (const { geometry, cause } of state?.hidden ?? []) marks.push(makeSvg('path', { d: stripPath(geometry), fill: 'url(#strip-hidden)', stroke: '#33566F', 'stroke-width': 0.8, 'vector-effect': 'non-scaling-stroke' }, makeSvg('title', {}, `Hidden in ${label}: ${cause}`)));
    }
    this.states.replaceChildren(
      makeSvg('path', { d: unstated.join(''), fill: 'url(#strip-unstated)' }), ...marks,
      makeSvg('path', { d: ticks.join(''), class: 'strip-tick' }),
    );
  }

  /** @private the drawing that is turned so that y goes up */
  drawing() {
    const { width_in, height_in, grid, openings, obstructions } = this.plan;
    const gridPath = grid.columns.linesIn.map((x) => `M${x} 0V${height_in}`).join('') + grid.rows.linesIn.map((y) => `M0 ${y}H${width_in}`).join('');
    const openingShapes = openings.map(({ name, polygon }) => makeSvg('path', { d: ringPath(polygon), class: 'strip-opening' }, makeSvg('title', {}, `Opening: ${name}`)));
    const obstructionShapes = obstructions.map(({ name, polygon, touch_only }) => makeSvg('path', { d: ringPath(polygon), fill: `url(#strip-${touch_only ? 'reach' : 'obstruction'})`, class: 'strip-obstruction' }, makeSvg('title', {}, `${touch_only ? 'Out of reach' : 'Before the wall'}: ${name}`)));
    return makeSvg('g', { transform: `translate(0 ${height_in}) scale(1 -1)` },
      makeSvg('rect', { x: 0, y: 0, width: width_in, height: height_in, class: 'strip-ground' }),
      this.picture, this.states, this.outlines, makeSvg('path', { d: gridPath, class: 'strip-grid' }), obstructionShapes, openingShapes,
      this.deckLines(), makeSvg('rect', { x: 0, y: 0, width: width_in, height: height_in, class: 'strip-edge' }), this.view, this.frame);
  }

  /** @private */
  deckLines() {
    return this.plan.decks.map((deck) => {
      const y = this.deckHeight(deck);
      return makeSvg('path', { d: `M0 ${y}H${this.plan.width_in}`, class: 'strip-deck' }, makeSvg('title', {}, `Deck ${deck.name}`));
    });
  }

  /** A deck below the painting is drawn just under its edge. @private @param {{level_above_floor_in: number}} deck */
  deckHeight(deck) {
    return Math.max(-this.plan.height_in * 0.035, Math.min(this.plan.height_in, deck.level_above_floor_in - this.plan.baseAboveFloor_in));
  }

  /** Keep words and hatches the same size on the screen whatever the strip's scale. @private */
  keepTextSize() {
    const width_px = this.svg.clientWidth || 1000;
    const perPx_in = this.box.width / width_px;
    for (const pattern of this.patterns) pattern.setAttribute('patternTransform', `scale(${perPx_in})`);
    const { grid, height_in, width_in, decks } = this.plan;
    const text = (/** @type {number} */ x, /** @type {number} */ y, /** @type {string} */ words, /** @type {string} */ anchor) => makeSvg('text', { x, y: height_in - y, 'text-anchor': anchor, 'dominant-baseline': 'central' }, words);
    const rows = grid.rows.stripNames.map((name, row) => text(-6 * perPx_in, (grid.rows.linesIn[row] + grid.rows.linesIn[row + 1]) / 2, name, 'end'));
    const every = Math.ceil((26 * perPx_in) / (width_in / grid.columns.count));
    const columns = grid.columns.readingOrder().filter((_, order) => order % every === 0).map((column) => text((grid.columns.linesIn[column] + grid.columns.linesIn[column + 1]) / 2, height_in + 9 * perPx_in, grid.columns.stripNames[column], 'middle'));
    const deckNames = decks.map((deck) => text(width_in + 5 * perPx_in, this.deckHeight(deck), deck.name, 'start'));
    deckNames.forEach((name) => name.classList.add('strip-deck-name'));
    this.texts.setAttribute('font-size', String(TEXT_PX * perPx_in));
    this.texts.replaceChildren(...rows, ...columns, ...deckNames);
  }

  /** @private */
  listen() {
    this.svg.addEventListener('click', (event) => {
      const matrix = this.svg.getScreenCTM();
      if (!matrix) return;
      const place = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
      const cell = this.plan.cellAt(place.x, this.plan.height_in - place.y);
      if (cell) this.onChoose(cell);
    });
    this.svg.addEventListener('keydown', (event) => {
      const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
      if (step) this.onChoose(this.plan.neighbour(this.cell, step[0], step[1]));
      else if (event.key === '[' || event.key === ']') this.onChoose(this.plan.inOrder(this.cell, event.key === ']' ? 1 : -1));
      else return;
      event.preventDefault();
    });
  }
}

/** @param {SVGRectElement} rect @param {number[]} box */
function placeRect(rect, [x0, y0, x1, y1]) {
  for (const [name, value] of Object.entries({ x: x0, y: y0, width: Math.max(0, x1 - x0), height: Math.max(0, y1 - y0) })) rect.setAttribute(name, String(value));
}

/** @param {string} name @param {{size: number, path: string, color: string, width: number}} hatch */
function hatchPattern(name, { size, path, color, width }) {
  return makeSvg('pattern', { id: `strip-${name}`, patternUnits: 'userSpaceOnUse', width: size, height: size }, makeSvg('path', { d: path, fill: 'none', stroke: color, 'stroke-width': width }));
}

/** @param {number[][]} ring */
function ringPath(ring) {
  return `M${ring.map((point) => point.join(' ')).join('L')}Z`;
}

/** @param {number[]} box */
function boxPath([x0, y0, x1, y1]) {
  return `M${x0} ${y0}H${x1}V${y1}H${x0}Z`;
}

/** A small tick in the cell's lower right corner, clear of what is drawn in its middle. @param {number[]} box */
function tickPath([x0, y0, x1, y1]) {
  const size = Math.min(x1 - x0, y1 - y0) * 0.15;
  const [x, y] = [x1 - 1.5 * size, y0 + 1.5 * size];
  return `M${x - size} ${y}L${x - size * 0.25} ${y - size * 0.8}L${x + size} ${y + size * 0.9}`;
}

/** Points become short strokes so that they are seen at the strip's scale. @param {import('./geometry.js').Geometry} geometry */
function stripPath(geometry) {
  return lines(geometry).map(({ points, closed }) => {
    const shown = points.map(([x, y]) => `${Math.round(x * 8) / 8} ${Math.round(y * 8) / 8}`);
    if (points.length === 1) return `M${shown[0]}h0.01`;
    return `M${shown.join('L')}${closed ? 'Z' : ''}`;
  }).join('');
}
