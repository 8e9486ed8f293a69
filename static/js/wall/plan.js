/**
 * Where on the wall is everything that does not change while a survey is recorded? The wall's size, its cells, openings,
 * decks and obstructions as the page was given them, with the questions asked of them.
 */
import { Grid } from '../shared/grid.js';
import { boxesOverlap, clipRing } from './geometry.js';

/** @typedef {import('./geometry.js').Point} Point */
/**
 * @typedef {object} Obstruction
 * @property {string} name
 * @property {string} cause
 * @property {string | null} mode
 * @property {Point[]} polygon
 * @property {boolean} [touch_only]
 */

export class WallPlan {
  /** @param {any} data the page's boot data */
  constructor(data) {
    this.name = data.wall.name;
    this.width_in = data.wall.width_in;
    this.height_in = data.wall.height_in;
    this.baseAboveFloor_in = data.wall.base_above_floor_in ?? 0;
    this.layout = data.layout.version;
    this.grid = Grid.fromJson(data.layout.grid);
    /** @type {{name: string, polygon: Point[]}[]} */
    this.openings = data.layout.openings ?? [];
    /** @type {{name: string, level_above_floor_in: number, band: [number, number]}[]} */
    this.decks = data.layout.decks ?? [];
    /** @type {Obstruction[]} */
    this.obstructions = data.layout.obstructions ?? [];
    /** @type {string[]} every cell, in reading order */
    this.labels = this.grid.labels();
    /** @private asked for of every cell, for every outline @type {Map<string, number[]>} */
    this.boundsOfLabels = new Map(this.labels.map((label) => [label, this.grid.bounds(label)]));
    this.extent = [0, 0, this.width_in, this.height_in];
  }

  /** @param {string} label @returns {[number, number, number, number]} */
  bounds(label) {
    return /** @type {[number, number, number, number]} */ ([...(this.boundsOfLabels.get(label) ?? this.grid.bounds(label))]);
  }

  /** @param {number} x_in @param {number} y_in @returns {string | null} */
  cellAt(x_in, y_in) {
    return this.grid.cellAt(x_in, y_in);
  }

  /** The labels whose cells meet a box. @param {number[]} box @returns {string[]} */
  cellsInBox(box) {
    if (box[0] === box[2] && box[1] === box[3]) return [this.cellAt(box[0], box[1])].filter((label) => label !== null);
    const [width, height] = [Math.max(box[2] - box[0], 1e-6), Math.max(box[3] - box[1], 1e-6)];
    const wide = [box[0], box[1], box[0] + width, box[1] + height];
    return this.labels.filter((label) => boxesOverlap(this.bounds(label), wide));
  }

  /** The chosen cell with its neighbours. @param {string} label @returns {number[]} box [in] */
  bay(label) {
    const [x0, y0, x1, y1] = this.bounds(label);
    const [width, height] = [x1 - x0, y1 - y0];
    return [Math.max(0, x0 - width), Math.max(0, y0 - height), Math.min(this.width_in, x1 + width), Math.min(this.height_in, y1 + height)];
  }

  /** The cell beside this one in wall directions, or the same at the wall's end. @param {string} label @param {number} right @param {number} up */
  neighbour(label, right, up) {
    const [column, row] = this.grid.position(label);
    const [columns, rows] = this.grid.shape;
    return this.grid.label(Math.min(columns - 1, Math.max(0, column + right)), Math.min(rows - 1, Math.max(0, row + up)));
  }

  /** The next or previous cell in reading order. @param {string} label @param {1 | -1} step */
  inOrder(label, step) {
    const at = this.labels.indexOf(label);
    return this.labels[(at + step + this.labels.length) % this.labels.length];
  }

  /** The deck from which the middle of a cell is reached. @param {string} label @returns {string | null} */
  deckOf(label) {
    const [, y0, , y1] = this.bounds(label);
    const middle = (y0 + y1) / 2;
    return this.decks.find(({ band }) => middle >= band[0] && middle < band[1])?.name ?? null;
  }

  /** Obstructions that stand before a cell in a mode, cut to the cell. @param {string} label @param {string} mode */
  obstructionsOf(label, mode) {
    const box = this.bounds(label);
    return this.obstructions
      .filter((obstruction) => !obstruction.mode || obstruction.mode === mode)
      .map((obstruction) => ({ ...obstruction, polygon: clipRing(obstruction.polygon, box) }))
      .filter(({ polygon }) => polygon.length >= 3);
  }
}
