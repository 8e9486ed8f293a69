/**
 * How large is what is being drawn, and how do its points move? Plain plane geometry in wall inches, on the 1/256 in
 * lattice. The record's own figures come from the server; these are for the eye while drawing.
 */
import { snapIn } from '../shared/lengths.js';

/** @typedef {[number, number]} Point */
/** @typedef {{type: string, coordinates: any}} Geometry GeoJSON geometry in wall inches */

/** The nearest place on the 1/256 in lattice. @param {Point} point @returns {Point} */
export function snapPoint([x_in, y_in]) {
  return [snapIn(x_in), snapIn(y_in)];
}

/**
 * Every coordinate of a geometry passed through a function.
 * @param {Geometry} geometry
 * @param {(point: Point) => Point} move
 * @returns {Geometry}
 */
export function mapPoints(geometry, move) {
  /** @param {any} part @returns {any} */
  const walk = (part) => (typeof part[0] === 'number' ? move([part[0], part[1]]) : part.map(walk));
  return { type: geometry.type, coordinates: walk(geometry.coordinates) };
}

/**
 * The lines of points of a geometry, each with the way to it; closed rings without their repeated last point.
 * @param {Geometry} geometry
 * @returns {{path: number[], points: Point[], closed: boolean}[]}
 */
export function lines(geometry) {
  const closed = geometry.type.endsWith('Polygon');
  /** @type {{path: number[], points: Point[], closed: boolean}[]} */
  const found = [];
  /** @param {any} part @param {number[]} path */
  const walk = (part, path) => {
    if (part.length === 0) return;
    if (typeof part[0] === 'number') found.push({ path, points: [part], closed });
    else if (typeof part[0][0] === 'number') found.push({ path, points: closed ? withoutRepeat(part) : part, closed });
    else part.forEach((/** @type {any} */ inner, /** @type {number} */ index) => walk(inner, [...path, index]));
  };
  walk(geometry.coordinates, []);
  return found;
}

/** @param {Point[]} ring */
function withoutRepeat(ring) {
  const last = ring[ring.length - 1];
  return ring.length > 1 && ring[0][0] === last[0] && ring[0][1] === last[1] ? ring.slice(0, -1) : ring;
}

/**
 * The geometry with one of its lines replaced.
 * @param {Geometry} geometry
 * @param {number[]} path as lines() gives it
 * @param {Point[]} points
 * @returns {Geometry}
 */
export function withLine(geometry, path, points) {
  const closed = geometry.type.endsWith('Polygon');
  const line = geometry.type === 'Point' ? points[0] : closed ? [...points, points[0]] : points;
  const copy = structuredClone(geometry);
  if (path.length === 0) return { type: copy.type, coordinates: line };
  let holder = copy.coordinates;
  for (const index of path.slice(0, -1)) holder = holder[index];
  holder[path[path.length - 1]] = copy.type === 'MultiPoint' ? points[0] : line;
  return copy;
}

/** @param {Point[]} ring @returns {number} signed area [sq in], positive anticlockwise */
export function signedArea(ring) {
  let twice = 0;
  for (let index = 0; index < ring.length; index += 1) {
    const [x0, y0] = ring[index];
    const [x1, y1] = ring[(index + 1) % ring.length];
    twice += x0 * y1 - x1 * y0;
  }
  return twice / 2;
}

/** @param {Point[]} points @param {boolean} closed @returns {number} length [in] */
export function lengthOf(points, closed) {
  let sum = 0;
  for (let index = 1; index < points.length; index += 1) sum += Math.hypot(points[index][0] - points[index - 1][0], points[index][1] - points[index - 1][1]);
  if (closed && points.length > 1) sum += Math.hypot(points[0][0] - points[points.length - 1][0], points[0][1] - points[points.length - 1][1]);
  return sum;
}

/**
 * Area, perimeter, length and count of a geometry; the area of crossing rings is only near the truth.
 * @param {Geometry} geometry
 * @returns {{area_sq_in: number, perimeter_in: number, length_in: number, points: number}}
 */
export function sizes(geometry) {
  let area_sq_in = 0;
  let perimeter_in = 0;
  let length_in = 0;
  let points = 0;
  for (const line of lines(geometry)) {
    if (line.closed) {
      const hole = line.path[line.path.length - 1] > 0;
      area_sq_in += (hole ? -1 : 1) * Math.abs(signedArea(line.points));
      perimeter_in += lengthOf(line.points, true);
    } else if (geometry.type.endsWith('Point')) points += line.points.length;
    else length_in += lengthOf(line.points, false);
  }
  return { area_sq_in, perimeter_in, length_in, points };
}

/** @param {Geometry} geometry @returns {[number, number, number, number]} x0, y0, x1, y1 [in] */
export function boundsOf(geometry) {
  const box = /** @type {[number, number, number, number]} */ ([Infinity, Infinity, -Infinity, -Infinity]);
  for (const { points } of lines(geometry)) {
    for (const [x, y] of points) {
      box[0] = Math.min(box[0], x); box[1] = Math.min(box[1], y);
      box[2] = Math.max(box[2], x); box[3] = Math.max(box[3], y);
    }
  }
  return box;
}

/** @param {number[]} first @param {number[]} second whether two boxes share more than an edge */
export function boxesOverlap(first, second) {
  return first[0] < second[2] && second[0] < first[2] && first[1] < second[3] && second[1] < first[3];
}

/**
 * Whether a closed ring crosses itself (segments that share an end do not count).
 * @param {Point[]} ring
 */
export function crossesItself(ring) {
  const count = ring.length;
  for (let i = 0; i < count; i += 1) {
    for (let j = i + 2; j < count; j += 1) {
      if (i === 0 && j === count - 1) continue;
      if (segmentsCross(ring[i], ring[(i + 1) % count], ring[j], ring[(j + 1) % count])) return true;
    }
  }
  return false;
}

/** @param {Point} a @param {Point} b @param {Point} c @param {Point} d */
function segmentsCross(a, b, c, d) {
  const side = (/** @type {Point} */ p, /** @type {Point} */ q, /** @type {Point} */ r) => Math.sign((q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]));
  return side(a, b, c) * side(a, b, d) < 0 && side(c, d, a) * side(c, d, b) < 0;
}

/**
 * Fewer points for the same line: none of the dropped ones lies further than the tolerance (Douglas and Peucker).
 * @param {Point[]} points
 * @param {number} tolerance_in
 * @returns {Point[]}
 */
export function simplify(points, tolerance_in) {
  if (points.length < 3) return points;
  const keep = new Uint8Array(points.length);
  keep[0] = 1;
  keep[points.length - 1] = 1;
  /** @type {[number, number][]} */
  const spans = [[0, points.length - 1]];
  for (let span = spans.pop(); span; span = spans.pop()) {
    const [from, to] = span;
    let worst = 0;
    let at = -1;
    for (let index = from + 1; index < to; index += 1) {
      const off = distanceToSegment(points[index], points[from], points[to]);
      if (off > worst) { worst = off; at = index; }
    }
    if (worst > tolerance_in) { keep[at] = 1; spans.push([from, at], [at, to]); }
  }
  return points.filter((_, index) => keep[index]);
}

/** @param {Point} point @param {Point} from @param {Point} to @returns {number} [in] */
export function distanceToSegment(point, from, to) {
  const near = nearestOnSegment(point, from, to);
  return Math.hypot(point[0] - near[0], point[1] - near[1]);
}

/** @param {Point} point @param {Point} from @param {Point} to @returns {Point} */
export function nearestOnSegment([px, py], [ax, ay], [bx, by]) {
  const square = (bx - ax) ** 2 + (by - ay) ** 2;
  const along = square ? Math.max(0, Math.min(1, ((px - ax) * (bx - ax) + (py - ay) * (by - ay)) / square)) : 0;
  return [ax + along * (bx - ax), ay + along * (by - ay)];
}

/**
 * What is left of a rectangle when another is taken out: up to four rectangles, widest bands first.
 * @param {number[]} box x0, y0, x1, y1 [in]
 * @param {number[]} hole
 * @returns {number[][]}
 */
export function rectangleWithout(box, hole) {
  if (!boxesOverlap(box, hole)) return [box];
  const [x0, y0, x1, y1] = box;
  const [hx0, hy0, hx1, hy1] = [Math.max(x0, hole[0]), Math.max(y0, hole[1]), Math.min(x1, hole[2]), Math.min(y1, hole[3])];
  return [[x0, hy1, x1, y1], [x0, y0, x1, hy0], [x0, hy0, hx0, hy1], [hx1, hy0, x1, hy1]].filter(([a, b, c, d]) => c > a && d > b);
}

/** @param {number[]} box @returns {Point[][]} the rings of one rectangle */
export function rectangleRings([x0, y0, x1, y1]) {
  return [[[x0, y0], [x1, y0], [x1, y1], [x0, y1], [x0, y0]]];
}

/**
 * A polygon's ring cut to a rectangle (Sutherland and Hodgman); what falls outside is dropped.
 * @param {Point[]} ring
 * @param {number[]} box
 * @returns {Point[]}
 */
export function clipRing(ring, [x0, y0, x1, y1]) {
  const sides = /** @type {[number, number, number][]} */ ([[0, x0, 1], [0, x1, -1], [1, y0, 1], [1, y1, -1]]);
  return sides.reduce((points, [axis, limit, sign]) => clipSide(points, axis, limit, sign), withoutRepeat(ring));
}

/** @param {Point[]} ring @param {number} axis @param {number} limit @param {number} sign @returns {Point[]} */
function clipSide(ring, axis, limit, sign) {
  /** @type {Point[]} */
  const kept = [];
  ring.forEach((point, index) => {
    const before = ring[(index + ring.length - 1) % ring.length];
    const inside = sign * (point[axis] - limit) >= 0;
    const wasInside = sign * (before[axis] - limit) >= 0;
    if (inside !== wasInside) {
      const along = (limit - before[axis]) / (point[axis] - before[axis]);
      const cut = /** @type {Point} */ ([before[0] + along * (point[0] - before[0]), before[1] + along * (point[1] - before[1])]);
      cut[axis] = limit;
      kept.push(cut);
    }
    if (inside) kept.push(point);
  });
  return kept;
}

/**
 * About how much a ring that crosses itself covers, what it covers twice counted once: level cuts through it, summed.
 * @param {Point[]} ring
 * @param {number} [cuts]
 * @returns {number} [sq in]
 */
export function coveredArea(ring, cuts = 600) {
  const heights = ring.map((point) => point[1]);
  const [low, high] = [Math.min(...heights), Math.max(...heights)];
  const step = (high - low) / cuts;
  let sum = 0;
  for (let cut = 0; cut < cuts; cut += 1) sum += coveredLength(ring, low + (cut + 0.5) * step) * step;
  return sum;
}

/** How much of a level line lies where the ring winds around it. @param {Point[]} ring @param {number} y */
function coveredLength(ring, y) {
  const crossings = ring.flatMap(([x0, y0], index) => {
    const [x1, y1] = ring[(index + 1) % ring.length];
    return y0 <= y === y1 <= y ? [] : [{ x: x0 + ((y - y0) / (y1 - y0)) * (x1 - x0), turn: y1 > y0 ? 1 : -1 }];
  }).sort((a, b) => a.x - b.x);
  let winding = 0;
  let sum = 0;
  crossings.forEach(({ x, turn }, index) => {
    if (winding !== 0) sum += x - crossings[index - 1].x;
    winding += turn;
  });
  return sum;
}
