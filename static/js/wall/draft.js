/**
 * What is under the pen now? A draft: finished parts, the line being drawn, what is stated with it, and every step
 * back and forth. A draft is local and no evidence; it becomes an entry when the outline is put down.
 */
import { History } from './history.js';
import { lines, simplify, sizes, snapPoint, withLine } from './geometry.js';
import { withLongerLine, withNewEdge } from './reshape.js';

/** @typedef {import('./geometry.js').Point} Point */
/** @typedef {import('./geometry.js').Geometry} Geometry */
/** @typedef {'area' | 'line' | 'point'} Kind */
/** @typedef {'part' | 'hole' | 'edge'} Role what the line being drawn becomes */
/**
 * What is drawn at one moment. The role stands in it, so that a hole taken back is drawn on as a hole.
 * @typedef {{geometry: Geometry | null, sketch: Point[], role: Role, adding: boolean}} Shape
 * @typedef {{before: Shape, after: Shape}} Step
 */

/** How many points a sketch needs before it can be finished. */
export const FEWEST_POINTS = { area: 3, line: 2, point: 1 };

/** @type {{role: Role, adding: boolean}} */
const FINISHED = { role: 'part', adding: false };

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
    this.shape = { geometry, sketch: [], role: 'part', adding: false };
    /** @type {History<Step>} */
    this.history = new History();
  }

  get geometry() { return this.shape.geometry; }

  get sketch() { return this.shape.sketch; }

  get role() { return this.shape.role; }

  /** Whether a further part, hole or edge is being drawn beside finished ones. */
  get adding() { return this.shape.adding; }

  /** Whether anything was drawn. */
  get isEmpty() { return !this.geometry && this.sketch.length === 0; }

  /** Whether the draft can be put down, finishing the line being drawn. */
  get canPutDown() {
    if (this.sketch.length) return this.canFinish;
    return this.geometry !== null;
  }

  get canFinish() { return this.sketch.length >= this.fewest; }

  /** Whether its shape is no longer the one that it began with. */
  get isReshaped() { return this.history.canUndo; }

  /** Whether a tap on the wall adds a point; otherwise it takes hold of one. */
  get isAdding() { return this.kind === 'point' || this.geometry === null || this.adding; }

  /** Draw a further part, cut a hole, or draw a new edge next. @param {Role} role */
  addNext(role) {
    this.show({ ...this.shape, role, adding: true });
  }

  /** Leave what addNext began. */
  stopAdding() {
    if (this.sketch.length && this.geometry) this.become({ sketch: [], ...FINISHED });
    else this.show({ ...this.shape, ...FINISHED });
  }

  /** @private */
  get fewest() {
    if (this.role !== 'edge') return FEWEST_POINTS[this.kind];
    return this.kind === 'line' ? 1 : 2;
  }

  /** Add a point to the line being drawn; a point term takes it at once. @param {Point} point */
  addPoint(point) {
    const placed = snapPoint(point);
    if (this.kind === 'point') return this.become({ geometry: withPoint(this.geometry, placed), sketch: [] });
    const last = this.sketch[this.sketch.length - 1];
    if (last && last[0] === placed[0] && last[1] === placed[1]) return undefined;
    return this.become({ sketch: [...this.sketch, placed] });
  }

  /**
   * Add a stroke of the pen or the held finger: it finishes the line when it was begun by the stroke.
   * @param {Point[]} points
   * @param {number} tolerance_in how far a dropped point may lie from the simplified line
   */
  addStroke(points, tolerance_in) {
    const stroke = simplify(points.map(snapPoint), tolerance_in);
    if (this.kind === 'point') return this.addPoint(points[0]);
    if (this.sketch.length) return this.become({ sketch: [...this.sketch, ...stroke] });
    if (stroke.length < this.fewest) return undefined;
    return this.close(stroke);
  }

  /**
   * Add a stroke that was cut off: it stays an open line to go on from, and finishes nothing.
   * @param {Point[]} points
   * @param {number} tolerance_in
   */
  addOpenStroke(points, tolerance_in) {
    if (this.kind === 'point' || points.length < 2) return;
    this.become({ sketch: [...this.sketch, ...simplify(points.map(snapPoint), tolerance_in)] });
  }

  /** Finish the line being drawn: close the ring, or end the line. @returns {boolean} whether it could be */
  finish() {
    if (!this.canFinish) return false;
    this.close(this.sketch);
    return true;
  }

  /** Replace the finished parts, for instance after a point was moved. @param {Geometry} geometry */
  reshape(geometry) {
    this.become({ geometry });
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
      this.become({ sketch: this.sketch.filter((_, place) => place !== index) });
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

  /** Take the last step back as if it had never been made: what a palm did is not to be done again. */
  forgetLast() {
    const step = this.history.forgetLast();
    if (step) this.show(step.before);
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
    this.become({ geometry: this.withPart(points), sketch: [], ...FINISHED });
  }

  /** @private @param {number[]} path @param {(points: Point[]) => Point[]} change */
  changeLine(path, change) {
    if (!this.geometry) {
      this.become({ sketch: change(this.sketch) });
      return;
    }
    const line = lines(this.geometry).find((found) => String(found.path) === String(path));
    if (line) this.reshape(withLine(this.geometry, path, change(line.points)));
  }

  /** @private @param {Point[]} points @returns {Geometry} */
  withPart(points) {
    if (this.kind === 'point') return /** @type {Geometry} */ (points.reduce((/** @type {Geometry | null} */ geometry, point) => withPoint(geometry, point), this.geometry));
    if (this.kind === 'line' && this.geometry && this.role === 'edge') return withLongerLine(this.geometry, points);
    if (this.kind === 'line') return withLineString(this.geometry, points);
    if (this.geometry && this.role === 'edge') return withNewEdge(this.geometry, points);
    const ring = [...points, points[0]];
    if (this.geometry && this.role === 'hole') return withHole(this.geometry, ring);
    return withPolygon(this.geometry, ring);
  }

  /** @private @param {Partial<Shape>} change */
  become(change) {
    const after = { ...this.shape, ...change };
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
