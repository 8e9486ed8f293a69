/**
 * How does an outline grow without being drawn again? A new line that starts and ends near the old edge takes the place of
 * the shorter stretch between, and a line is drawn on from its end; everything else stays to the last 1/256 in.
 */
import { distanceToSegment, lines, nearestOnSegment, withLine } from './geometry.js';

/** @typedef {import('./geometry.js').Point} Point */
/** @typedef {import('./geometry.js').Geometry} Geometry */

/**
 * The geometry with a new edge in the ring that lies nearest to the new line's two ends.
 * @param {Geometry} geometry a Polygon or MultiPolygon
 * @param {Point[]} stroke at least two points
 * @returns {Geometry}
 */
export function withNewEdge(geometry, stroke) {
  const rings = lines(geometry).filter((line) => line.closed);
  const ends = [stroke[0], stroke[stroke.length - 1]];
  const distance = (/** @type {Point[]} */ ring) => ends.reduce((sum, end) => sum + placeOn(ring, end).distance_in, 0);
  const nearest = rings.reduce((best, line) => (distance(line.points) < distance(best.points) ? line : best));
  return withLine(geometry, nearest.path, ringWithNewEdge(nearest.points, stroke));
}

/**
 * The geometry with one of its lines drawn on from the end that lies nearest to the first new point.
 * @param {Geometry} geometry a LineString or MultiLineString
 * @param {Point[]} points at least one
 * @returns {Geometry}
 */
export function withLongerLine(geometry, points) {
  const ends = lines(geometry).flatMap(({ path, points: line }) => [{ path, line, end: line[0], isStart: true }, { path, line, end: line[line.length - 1], isStart: false }]);
  const distance = (/** @type {{end: Point}} */ { end }) => Math.hypot(end[0] - points[0][0], end[1] - points[0][1]);
  const { path, line, isStart } = ends.reduce((best, found) => (distance(found) < distance(best) ? found : best));
  return withLine(geometry, path, dedupe(isStart ? [...[...points].reverse(), ...line] : [...line, ...points]));
}

/**
 * The ring with the shorter stretch between the stroke's ends replaced by the stroke.
 * @param {Point[]} ring without a repeated last point
 * @param {Point[]} stroke
 * @returns {Point[]}
 */
export function ringWithNewEdge(ring, stroke) {
  const from = placeOn(ring, stroke[0]);
  const to = placeOn(ring, stroke[stroke.length - 1]);
  const forward = stretch(ring, from, to);
  const backward = stretch(ring, to, from);
  // The stretch that is kept runs from where the stroke ends to where it begins.
  if (pathLength(forward) <= pathLength(backward)) return dedupe([...stroke, ...backward.slice(1, -1)]);
  return dedupe([...[...stroke].reverse(), ...forward.slice(1, -1)]);
}

/**
 * @typedef {{segment: number, at: Point, along_in: number, distance_in: number}} Place
 */

/** @param {Point[]} ring @param {Point} point @returns {Place} */
function placeOn(ring, point) {
  /** @type {Place} */
  let best = { segment: 0, at: ring[0], along_in: 0, distance_in: Infinity };
  ring.forEach((from, segment) => {
    const to = ring[(segment + 1) % ring.length];
    const distance_in = distanceToSegment(point, from, to);
    if (distance_in >= best.distance_in) return;
    const at = nearestOnSegment(point, from, to);
    best = { segment, at, along_in: Math.hypot(at[0] - from[0], at[1] - from[1]), distance_in };
  });
  return best;
}

/** The ring's points from one place on to another, in the ring's direction. @param {Point[]} ring @param {Place} from @param {Place} to */
function stretch(ring, from, to) {
  const points = [from.at];
  const sameAhead = from.segment === to.segment && to.along_in >= from.along_in;
  if (!sameAhead) {
    let index = (from.segment + 1) % ring.length;
    points.push(ring[index]);
    while (index !== to.segment) {
      index = (index + 1) % ring.length;
      points.push(ring[index]);
    }
  }
  points.push(to.at);
  return points;
}

/** @param {Point[]} points */
function pathLength(points) {
  return points.slice(1).reduce((sum, point, index) => sum + Math.hypot(point[0] - points[index][0], point[1] - points[index][1]), 0);
}

/** @param {Point[]} points */
function dedupe(points) {
  return points.filter((point, index) => {
    const before = points[(index + points.length - 1) % points.length];
    return point[0] !== before[0] || point[1] !== before[1];
  });
}
