/**
 * To which place does a tap snap? The nearest corner of an outline or of the grid, else the nearest line; nothing is moved here.
 */
import { lines, nearestOnSegment } from './geometry.js';

/** @typedef {import('./geometry.js').Point} Point */

const SNAP_PX = 14;

/**
 * @param {{plate: import('./plate.js').Plate, grid: import('../shared/grid.js').Grid, at: Point}} options
 * @returns {Point} the place itself where nothing is near
 */
export function snapPlace({ plate, grid, at }) {
  const reach_in = SNAP_PX * plate.resolution_in;
  const { corners, onLines } = outlinePlaces(plate, at, reach_in);
  for (const x of grid.columns.linesIn) onLines.push([x, at[1]]);
  for (const y of grid.rows.linesIn) onLines.push([at[0], y]);
  for (const x of grid.columns.linesIn) if (Math.abs(x - at[0]) < reach_in) for (const y of grid.rows.linesIn) corners.push([x, y]);
  return nearest(corners, at, reach_in) ?? nearest(onLines, at, reach_in) ?? at;
}

/** @param {import('./plate.js').Plate} plate @param {Point} at @param {number} reach_in */
function outlinePlaces(plate, at, reach_in) {
  const box = [at[0] - reach_in, at[1] - reach_in, at[0] + reach_in, at[1] + reach_in];
  /** @type {Point[]} */
  const corners = [];
  /** @type {Point[]} */
  const onLines = [];
  plate.outlineSource.forEachFeatureInExtent(box, (/** @type {any} */ feature) => {
    for (const { points, closed } of lines(plate.format.writeGeometryObject(feature.getGeometry()))) {
      points.forEach((point, index) => {
        corners.push(point);
        if (closed || index + 1 < points.length) onLines.push(nearestOnSegment(at, point, points[(index + 1) % points.length]));
      });
    }
  });
  return { corners, onLines };
}

/** @param {Point[]} places @param {Point} at @param {number} reach_in @returns {Point | null} */
function nearest(places, at, reach_in) {
  let best = null;
  let bestDistance = reach_in;
  for (const place of places) {
    const distance = Math.hypot(place[0] - at[0], place[1] - at[1]);
    if (distance <= bestDistance) { best = place; bestDistance = distance; }
  }
  return best;
}
