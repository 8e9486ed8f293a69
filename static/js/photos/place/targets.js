/**
 * Which places of the wall can a point be marked at, and how are they called? Grid crossings and the corners of the
 * photograph's own cells; it knows neither page nor picture.
 */
import { formatFeetInches } from '../../shared/lengths.js';

/** @typedef {[number, number]} Point */
/** @typedef {'crossing' | 'corner' | 'mark' | 'picture-edge'} Kind */
/** @typedef {{name: string, kind: Kind, wall_in: Point}} Target */
/** @typedef {import('../../shared/grid.js').Grid} Grid */

const NEIGHBOURS = 1;
const MOST_COLUMNS = 5;
const MOST_ROWS = 4;
/** More points than these say little more. */
const ENOUGH_POINTS = 8;

/** A place on the wall in words. @param {Point} wall_in */
export function placeText([x_in, y_in]) {
  return `${formatFeetInches(x_in)} across, ${formatFeetInches(y_in)} up`;
}

/** @param {Point} one @param {Point} other */
export function isSamePlace(one, other) {
  return Math.abs(one[0] - other[0]) < 1 / 512 && Math.abs(one[1] - other[1]) < 1 / 512;
}

/**
 * The columns and rows around some cells, from 0 in wall order.
 * @param {Grid} grid
 * @param {string[]} cells
 * @returns {{columns: [number, number], rows: [number, number]} | null} first and last; null without a cell
 */
export function spanAround(grid, cells) {
  const found = cells.map((cell) => grid.find(cell)).filter((place) => place !== null);
  if (!found.length) return null;
  const [columnCount, rowCount] = grid.shape;
  const span = (/** @type {number[]} */ places, /** @type {number} */ count, /** @type {number} */ most) => {
    const first = Math.max(Math.min(...places) - NEIGHBOURS, 0);
    return /** @type {[number, number]} */ ([first, Math.min(Math.max(...places) + NEIGHBOURS, count - 1, first + most - 1)]);
  };
  return { columns: span(found.map(([column]) => column), columnCount, MOST_COLUMNS), rows: span(found.map(([, row]) => row), rowCount, MOST_ROWS) };
}

/**
 * The crossings of a span, from the top row down, each row from the left.
 * @param {Grid} grid
 * @param {{columns: [number, number], rows: [number, number]}} span
 * @param {string[]} cells the photograph's own, whose corners are called so
 * @returns {Target[]}
 */
export function crossingsOf(grid, { columns, rows }, cells) {
  const corners = cells.filter((cell) => grid.find(cell)).flatMap((cell) => cornersOf(grid, cell));
  const found = [];
  for (let row = rows[1] + 1; row >= rows[0]; row -= 1) {
    for (let column = columns[0]; column <= columns[1] + 1; column += 1) {
      const wall_in = /** @type {Point} */ ([grid.columns.linesIn[column], grid.rows.linesIn[row]]);
      found.push(corners.find((corner) => isSamePlace(corner.wall_in, wall_in)) ?? crossing(wall_in));
    }
  }
  return found;
}

/** The four corners of a cell. @param {Grid} grid @param {string} cell @returns {Target[]} */
export function cornersOf(grid, cell) {
  const [x0, y0, x1, y1] = grid.bounds(cell);
  /** @type {[string, Point][]} */
  const named = [['upper left', [x0, y1]], ['upper right', [x1, y1]], ['lower right', [x1, y0]], ['lower left', [x0, y0]]];
  return named.map(([where, wall_in]) => ({ name: `${cell} ${where}`, kind: 'corner', wall_in }));
}

/** The crossing nearest to a place. @param {Grid} grid @param {Point} wall_in @param {string[]} cells @returns {Target} */
export function nearestCrossing(grid, wall_in, cells) {
  const place = /** @type {Point} */ ([nearest(grid.columns.linesIn, wall_in[0]), nearest(grid.rows.linesIn, wall_in[1])]);
  const corners = cells.filter((cell) => grid.find(cell)).flatMap((cell) => cornersOf(grid, cell));
  return corners.find((corner) => isSamePlace(corner.wall_in, place)) ?? crossing(place);
}

/**
 * Crossings on the picture that are not marked yet, those furthest from marked ones first: they tell most.
 * @param {object} options
 * @param {Grid} options.grid
 * @param {import('./sight.js').Sight} options.sight
 * @param {{width_px: number, height_px: number}} options.size
 * @param {Point[]} options.marked places on the wall
 * @param {string[]} options.cells
 * @param {number} [options.most]
 * @returns {(Target & {px: Point})[]}
 */
export function furtherTargets({ grid, sight, size, marked, cells, most = 4 }) {
  if (marked.length >= ENOUGH_POINTS) return [];
  const edge_px = Math.min(size.width_px, size.height_px) * 0.01;
  /** @type {(Target & {px: Point})[]} */
  const seen = [];
  for (const x of grid.columns.linesIn) for (const y of grid.rows.linesIn) {
    const wall_in = /** @type {Point} */ ([x, y]);
    if (!sight.isBefore(wall_in, marked[0]) || marked.some((place) => isSamePlace(place, wall_in))) continue;
    const px = sight.toPicture(wall_in);
    const isInside = px[0] > edge_px && px[1] > edge_px && px[0] < size.width_px - edge_px && px[1] < size.height_px - edge_px;
    if (isInside) seen.push({ ...nearestCrossing(grid, wall_in, cells), px });
  }
  return spreadOut(seen, marked, Math.min(most, ENOUGH_POINTS - marked.length));
}

/** @template {Target} T @param {T[]} targets @param {Point[]} marked @param {number} most @returns {T[]} each next one furthest from all before */
function spreadOut(targets, marked, most) {
  const taken = [...marked];
  const chosen = [];
  const left = [...targets];
  while (left.length && chosen.length < most) {
    const away = left.map(({ wall_in }) => Math.min(...taken.map((place) => Math.hypot(place[0] - wall_in[0], place[1] - wall_in[1]))));
    const [next] = left.splice(away.indexOf(Math.max(...away)), 1);
    chosen.push(next);
    taken.push(next.wall_in);
  }
  return chosen;
}

/** @param {Point} wall_in @returns {Target} */
function crossing(wall_in) {
  return { name: `${formatFeetInches(wall_in[0])} × ${formatFeetInches(wall_in[1])}`, kind: 'crossing', wall_in };
}

/** @param {readonly number[]} lines @param {number} value */
function nearest(lines, value) {
  return lines.reduce((best, line) => (Math.abs(line - value) < Math.abs(best - value) ? line : best));
}
