/**
 * What is under the pen now? A draft: finished parts, the line being drawn, what is stated with it, and every step
 * back and forth. A draft is local and no evidence; it becomes an entry when the outline is put down.
 */
import { History } from './history.js';
import { lines, simplify, sizes, snapPoint, withLine } from './geometry.js';
import { withNewEdge } from './reshape.js';

/** @typedef {import('./geometry.js').Point} Point */
/** @typedef {import('./geometry.js').Geometry} Geometry */
/** @typedef {'area' | 'line' | 'point'} Kind */
/** @typedef {{geometry: Geometry | null, sketch: Point[]}} Shape */

/** How many points a sketch needs before it can be finished. */
export const FEWEST_POINTS = { area: 3, line: 2, point: 1 };

export class Draft {
  /**
   * @param {object} options
   * @param {Kind} options.kind
   * @param {'outline' | 'hidden' | 'touch'} [options.purpose]
   * @param {Geometry | null} [options.geometry] a copy to start from
   * @param {Record<string, any>} [options.stated] the body's other keys: term, measures, condition, note …
   * @param {{objectId?: string, parents?: string[]}} [options.identity] of the object that is corrected or continued
   * @param {() => void} [options.onChange]
   */
  constructor({ kind, purpose = 'outline', geometry = null, stated = {}, identity = {}, onChange = () => {} }) {
    this.kind = kind;
    this.purpose = purpose;
    this.stated = stated;
    this.identity = identity;
    this.onChange = onChange;
    /** @type {Shape} */
    this.shape = { geometry, sketch: [] };
    /** @type {'part' | 'hole' | 'edge'} what the next line becomes */
    this.role = 'part';
    /** Whether a further part, hole or edge is being drawn beside finished ones. */
    this.adding = false;
    /** @type {History<{before: Shape, after: Shape}>} */
    this.history = new History();
  }

  get geometry() { return this.shape.geometry; }

  get sketch() { return this.shape.sketch; }

  /** Whether anything was drawn. */
  get isEmpty() { return !this.geometry && this.sketch.length === 0; }

  /** Whether the draft can be put down, finishing the line being drawn. */
  get canPutDown() {
    if (this.sketch.length) return this.canFinish;
    return this.geometry !== null;
  }

  get canFinish() { return this.sketch.length >= this.fewest; }

  /** Whether a tap on the wall adds a point; otherwise it takes hold of one. */
  get isAdding() { return this.kind === 'point' || this.geometry === null || this.adding; }

  /** Draw a further part, cut a hole, or draw a new edge next. @param {'part' | 'hole' | 'edge'} role */
  addNext(role) {
    this.role = role;
    this.adding = true;
    this.onChange();
  }

  /** Leave what addNext began. */
  stopAdding() {
    this.adding = false;
    this.role = 'part';
    if (this.sketch.length && this.geometry) this.become({ geometry: this.geometry, sketch: [] });
    else this.onChange();
  }

  /** @private */
  get fewest() { return this.role === 'edge' ? 2 : FEWEST_POINTS[this.kind]; }

  /** Add a point to the line being drawn; a point term takes it at once. @param {Point} point */
  addPoint(point) {
    const placed = snapPoint(point);
    if (this.kind === 'point') return this.become({ geometry: withPoint(this.geometry, placed), sketch: [] });
    const last = this.sketch[this.sketch.length - 1];
    if (last && last[0] === placed[0] && last[1] === placed[1]) return undefined;
    return this.become({ geometry: this.geometry, sketch: [...this.sketch, placed] });
  }

  /**
   * Add a stroke of the pen or the held finger: it finishes the line when it was begun by the stroke.
   * @param {Point[]} points
   * @param {number} tolerance_in how far a dropped point may lie from the simplified line
   */
  addStroke(points, tolerance_in) {
    const stroke = simplify(points.map(snapPoint), tolerance_in);
    if (this.kind === 'point') return this.addPoint(points[0]);
    if (this.sketch.length) return this.become({ geometry: this.geometry, sketch: [...this.sketch, ...stroke] });
    if (stroke.length < this.fewest) return undefined;
    return this.close(stroke);
  }

  /** Finish the line being drawn: close the ring, or end the line. @returns {boolean} whether it could be */
  finish() {
    if (!this.canFinish) return false;
    this.close(this.sketch);
    return true;
  }

  /** Replace the finished parts, for instance after a point was moved. @param {Geometry} geometry */
  reshape(geometry) {
    this.become({ geometry, sketch: this.sketch });
  }

  /** @param {number[]} path @param {number} index @param {Point} point */
  movePoint(path, index, point) {
    this.changeLine(path, (points) => points.map((old, place) => (place === index ? snapPoint(point) : old)));
  }

  /** @param {number[]} path @param {number} index the new point stands after this one @param {Point} point */
  insertPoint(path, index, point) {
    this.changeLine(path, (points) => [...points.slice(0, index + 1), snapPoint(point), ...points.slice(index + 1)]);
  }

  /** Take a point out, unless too few would be left. @param {number[]} path @param {number} index @returns {boolean} */
  removePoint(path, index) {
    if (!this.geometry) {
      if (!this.sketch.length) return false;
      this.become({ geometry: null, sketch: this.sketch.filter((_, place) => place !== index) });
      return true;
    }
    const line = lines(this.geometry).find((found) => String(found.path) === String(path));
    if (!line || line.points.length <= FEWEST_POINTS[this.kind]) return false;
    this.changeLine(path, (points) => points.filter((_, place) => place !== index));
    return true;
  }

  undo() {
    const step = this.history.undo();
    if (step) this.show(step.before);
    return Boolean(step);
  }

  redo() {
    const step = this.history.redo();
    if (step) this.show(step.after);
    return Boolean(step);
  }

  get sizes() {
    const shown = this.geometry ?? this.sketchGeometry();
    return shown ? sizes(shown) : { area_sq_in: 0, perimeter_in: 0, length_in: 0, points: 0 };
  }

  /** The line being drawn as a geometry of its own. @returns {Geometry | null} */
  sketchGeometry() {
    if (!this.sketch.length) return null;
    if (this.kind === 'area' && this.sketch.length > 2) return { type: 'Polygon', coordinates: [[...this.sketch, this.sketch[0]]] };
    return { type: 'LineString', coordinates: this.sketch };
  }

  /** @private @param {Point[]} points */
  close(points) {
    const geometry = this.withPart(points);
    this.adding = false;
    this.role = 'part';
    this.become({ geometry, sketch: [] });
  }

  /** @private @param {number[]} path @param {(points: Point[]) => Point[]} change */
  changeLine(path, change) {
    if (!this.geometry) {
      this.become({ geometry: null, sketch: change(this.sketch) });
      return;
    }
    const line = lines(this.geometry).find((found) => String(found.path) === String(path));
    if (line) this.reshape(withLine(this.geometry, path, change(line.points)));
  }

  /** @private @param {Point[]} points @returns {Geometry} */
  withPart(points) {
    if (this.kind === 'line') return withLineString(this.geometry, points);
    if (this.geometry && this.role === 'edge') return withNewEdge(this.geometry, points);
    const ring = [...points, points[0]];
    if (this.geometry && this.role === 'hole') return withHole(this.geometry, ring);
    return withPolygon(this.geometry, ring);
  }

  /** @private @param {Shape} after */
  become(after) {
    this.history.push({ before: this.shape, after });
    this.show(after);
  }

  /** @private @param {Shape} shape */
  show(shape) {
    this.shape = shape;
    this.onChange();
  }
}

/** @param {Geometry | null} geometry @param {Point} point @returns {Geometry} */
function withPoint(geometry, point) {
  if (!geometry) return { type: 'Point', coordinates: point };
  const points = geometry.type === 'Point' ? [geometry.coordinates] : geometry.coordinates;
  return { type: 'MultiPoint', coordinates: [...points, point] };
}

/** @param {Geometry | null} geometry @param {Point[]} line @returns {Geometry} */
function withLineString(geometry, line) {
  if (!geometry) return { type: 'LineString', coordinates: line };
  const parts = geometry.type === 'LineString' ? [geometry.coordinates] : geometry.coordinates;
  return { type: 'MultiLineString', coordinates: [...parts, line] };
}

/** @param {Geometry | null} geometry @param {Point[]} ring @returns {Geometry} */
function withPolygon(geometry, ring) {
  if (!geometry) return { type: 'Polygon', coordinates: [ring] };
  const parts = geometry.type === 'Polygon' ? [geometry.coordinates] : geometry.coordinates;
  return { type: 'MultiPolygon', coordinates: [...parts, [ring]] };
}

/** The hole goes into the part that holds its first point, else into the last. @param {Geometry} geometry @param {Point[]} ring */
function withHole(geometry, ring) {
  if (geometry.type === 'Polygon') return { type: 'Polygon', coordinates: [...geometry.coordinates, ring] };
  const parts = geometry.coordinates;
  const found = parts.findIndex((/** @type {Point[][]} */ part) => contains(part[0], ring[0]));
  const at = found < 0 ? parts.length - 1 : found;
  return { type: 'MultiPolygon', coordinates: parts.map((/** @type {Point[][]} */ part, /** @type {number} */ index) => (index === at ? [...part, ring] : part)) };
}

/** Whether a ring holds a point (even–odd). @param {Point[]} ring @param {Point} point */
export function contains(ring, [x, y]) {
  let inside = false;
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i, i += 1) {
    const [xi, yi] = ring[i];
    const [xj, yj] = ring[j];
    if (yi > y !== yj > y && x < ((xj - xi) * (y - yi)) / (yj - yi) + xi) inside = !inside;
  }
  return inside;
}
