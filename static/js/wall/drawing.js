/**
 * What does a tap, a stroke or a dragged point do to the draft? Mouse, finger and pen on the plate; once a pen was seen,
 * fingers only pan. It changes the draft alone: nothing here reaches the record.
 */
import { lines } from './geometry.js';
import { draftStyles } from './draft_styles.js';
import { PointerGate, isCancelled } from './pointers.js';
import { snapPlace } from './snapping.js';

/** @typedef {import('./geometry.js').Point} Point */
/** @typedef {import('./draft.js').Draft} Draft */
/**
 * What the drawing reads of the page, at the desk and on the deck.
 * @typedef {{draft: Draft | null, draftStep: number, tool: string, freehand: boolean, snap: boolean, penSeen: boolean}} DrawingState
 */

const CLOSE_PX = { mouse: 12, touch: 24, pen: 14 };
const DOUBLE_TAP_MS = 400;
const STILL_PX = 5;
const STROKE_TOLERANCE_PX = 0.75;

export class Drawing {
  /**
   * @param {object} options
   * @param {import('./plate.js').Plate} options.plate
   * @param {import('./state.js').Store<any>} options.store of a DrawingState
   * @param {import('./plan.js').WallPlan} options.plan
   * @param {number} [options.grasp_px] how near to a point one takes hold of it
   * @param {boolean} [options.endsOnDoubleTap] whether two quick taps finish the line; a glove that bounces must not
   * @param {(stroke: Point[] | null, tolerance_in: number) => void} [options.onStroke] told while a stroke is being drawn, and of its end
   * @param {(show: () => void) => void} [options.showStep] shows a step of the draft at a time of its own choice
   */
  constructor({ plate, store, plan, grasp_px = 18, endsOnDoubleTap = true, onStroke = () => {}, showStep = (show) => show() }) {
    this.plate = plate;
    /** @type {import('./state.js').Store<DrawingState & any>} */
    this.store = store;
    this.plan = plan;
    this.grasp_px = grasp_px;
    this.endsOnDoubleTap = endsOnDoubleTap;
    this.onStroke = onStroke;
    /** @type {Point[] | null} the stroke under pen or finger */
    this.stroke = null;
    /** @type {{draft: Draft, steps: number, time_ms: number} | null} what a finger did last, to be taken back where it was a palm */
    this.touchDeed = null;
    this.lastTap = { time_ms: 0, pixel: [0, 0] };
    this.removing = false;
    this.marker = new ol.Feature();
    this.rubber = new ol.Feature();
    this.shape = new ol.Feature();
    this.sketch = new ol.Feature();
    this.modify = this.makeModify();
    plate.activeSource.addFeatures([this.shape, this.sketch, this.rubber, this.marker]);
    plate.activeLayer.setStyle(draftStyles(plate.marks, () => store.state.draft));
    this.addInteractions();
    const show = () => this.show();
    store.watch(['draft', 'tool'], show);
    store.watch(['draftStep'], () => showStep(show));
  }

  /** @private */
  addInteractions() {
    const { map } = this.plate;
    map.addInteraction(this.modify);
    map.addInteraction(new ol.interaction.Pointer({
      handleDownEvent: (/** @type {any} */ event) => this.strokeDown(event),
      handleDragEvent: (/** @type {any} */ event) => this.strokeMove(event),
      handleUpEvent: (/** @type {any} */ event) => this.strokeUp(event),
      stopDown: (/** @type {boolean} */ handled) => handled,
    }));
    map.on('click', (/** @type {any} */ event) => this.tap(event));
    map.on('pointermove', (/** @type {any} */ event) => this.hover(event));
    this.gate = new PointerGate({ plate: this.plate, onPen: () => this.store.set({ penSeen: true }), onPalm: (since_ms) => this.takeBackPalm(since_ms) });
  }

  /** Take back what a palm did before the pen came down. @private @param {number} since_ms */
  takeBackPalm(since_ms) {
    const deed = this.touchDeed;
    this.touchDeed = null;
    this.lastTap = { time_ms: 0, pixel: [0, 0] };
    const { draft } = this.store.state;
    if (deed && deed.time_ms >= since_ms && deed.draft === draft && draft.history.done.length === deed.steps) draft.forgetLast();
  }

  /** Remember what a finger changed. @private @param {string} pointerType @param {() => void} work */
  asDeed(pointerType, work) {
    const { draft } = this.store.state;
    const before = draft?.history.done.length ?? 0;
    work();
    const steps = draft?.history.done.length ?? 0;
    if (pointerType === 'touch' && draft && steps > before) this.touchDeed = { draft, steps, time_ms: performance.now() };
  }

  /** @private */
  makeModify() {
    const modify = new ol.interaction.Modify({
      features: new ol.Collection([this.shape]), pixelTolerance: this.grasp_px, style: [],
      condition: (/** @type {any} */ event) => this.mayDraw(event.originalEvent) && event.originalEvent.button === 0,
      deleteCondition: (/** @type {any} */ event) => this.mayDraw(event.originalEvent) && (this.removing || event.originalEvent.altKey) && ol.events.condition.singleClick(event),
    });
    modify.on('modifyend', (/** @type {any} */ event) => this.takeModified(event.mapBrowserEvent));
    return modify;
  }

  /** Whether this pointer draws; a finger beside a pen does not. @param {PointerEvent} event */
  mayDraw(event) {
    return !(this.store.state.penSeen && event.pointerType === 'touch');
  }

  /** Whether a tap on a point takes it out. @param {boolean} removing */
  setRemoving(removing) {
    this.removing = removing;
    this.store.step('draftStep');
  }

  /** Whether taps add points now. */
  get isAdding() {
    const { tool, draft } = this.store.state;
    return tool === 'draw' && draft !== null && draft.isAdding;
  }

  /** @private @param {any} event */
  tap(event) {
    const pointer = /** @type {PointerEvent} */ (event.originalEvent);
    const { draft } = this.store.state;
    if (!this.isAdding || !draft || !this.mayDraw(pointer) || pointer.pointerType === 'pen') return;
    const kind = pointer.pointerType === 'touch' ? 'touch' : 'mouse';
    this.asDeed(kind, () => this.addTap(event.pixel, event.coordinate, kind));
  }

  /** @private @param {number[]} pixel @param {Point} coordinate @param {'mouse' | 'touch' | 'pen'} pointer */
  addTap(pixel, coordinate, pointer) {
    const draft = /** @type {import('./draft.js').Draft} */ (this.store.state.draft);
    const now_ms = performance.now();
    const near = Math.hypot(pixel[0] - this.lastTap.pixel[0], pixel[1] - this.lastTap.pixel[1]) < CLOSE_PX[pointer];
    const again = near && now_ms - this.lastTap.time_ms < DOUBLE_TAP_MS;
    this.lastTap = { time_ms: now_ms, pixel };
    if (again && !this.endsOnDoubleTap) return;
    if (draft.canFinish && (again || (draft.kind === 'area' && draft.role !== 'edge' && this.isOnFirst(pixel, CLOSE_PX[pointer])))) draft.finish();
    else if (!again) draft.addPoint(this.place(coordinate, pointer));
  }

  /** @private @param {number[]} pixel @param {number} reach_px */
  isOnFirst(pixel, reach_px) {
    const first = this.store.state.draft?.sketch[0];
    if (!first) return false;
    const at = this.plate.map.getPixelFromCoordinate(first);
    return Math.hypot(at[0] - pixel[0], at[1] - pixel[1]) <= reach_px;
  }

  /** @private @param {any} event */
  strokeDown(event) {
    const pointer = /** @type {PointerEvent} */ (event.originalEvent);
    const several = event.activePointers?.length > 1;
    const draws = pointer.pointerType === 'pen' || this.store.state.freehand;
    if (several || !draws || !this.isAdding || !this.mayDraw(pointer) || pointer.button > 0) {
      this.stroke = null;
      return false;
    }
    this.stroke = [event.coordinate];
    return true;
  }

  /** @private @param {any} event */
  strokeMove(event) {
    if (!this.stroke) return;
    if (event.activePointers?.length > 1) {
      this.stroke = null;
      this.showStroke();
      this.onStroke(null, 0);
      return;
    }
    const { map } = this.plate;
    const finer = event.originalEvent.getCoalescedEvents?.() ?? [];
    for (const part of finer.length ? finer : [event.originalEvent]) this.stroke.push(/** @type {Point} */ (map.getCoordinateFromPixel(map.getEventPixel(part))));
    this.showStroke();
    this.onStroke(this.stroke, this.tolerance_in);
  }

  /** @private @param {any} event */
  strokeUp(event) {
    const stroke = this.stroke;
    this.stroke = null;
    this.showStroke();
    if (stroke && this.store.state.draft) this.endStroke(stroke, event);
    this.onStroke(null, 0);
    return false;
  }

  /** @private @param {Point[]} stroke @param {any} event */
  endStroke(stroke, event) {
    const draft = /** @type {Draft} */ (this.store.state.draft);
    const { pointerType } = event.originalEvent;
    const reach_in = STILL_PX * this.plate.resolution_in;
    const still = stroke.every((point) => Math.hypot(point[0] - stroke[0][0], point[1] - stroke[0][1]) < reach_in);
    if (isCancelled(event)) {
      // What a pen drew before it was cut off stays an open line; a finger that was cut off was a palm.
      if (pointerType === 'pen' && !still) draft.addOpenStroke(stroke, this.tolerance_in);
    } else if (!still) this.asDeed(pointerType, () => draft.addStroke(stroke, this.tolerance_in));
    // A still finger or mouse gives a click of its own; a still pen's tap is taken here.
    else if (pointerType === 'pen') this.addTap(event.pixel, stroke[0], 'pen');
  }

  /** How far the points dropped from a stroke may lie off its line [in]. */
  get tolerance_in() {
    return STROKE_TOLERANCE_PX * this.plate.resolution_in;
  }

  /** @private @param {any} event */
  hover(event) {
    if (event.dragging || !this.isAdding || event.originalEvent.pointerType === 'touch') {
      this.rubber.setGeometry(undefined);
      return;
    }
    const draft = /** @type {import('./draft.js').Draft} */ (this.store.state.draft);
    const place = this.place(event.coordinate, event.originalEvent.pointerType === 'pen' ? 'pen' : 'mouse');
    const last = draft.sketch[draft.sketch.length - 1];
    this.marker.setGeometry(this.store.state.snap ? new ol.geom.Point(place) : undefined);
    this.rubber.setGeometry(last ? new ol.geom.LineString([last, place]) : undefined);
  }

  /** The nearest place to snap to, when that is wanted; never for the pen. @param {Point} coordinate @param {'mouse' | 'touch' | 'pen'} pointer @returns {Point} */
  place(coordinate, pointer) {
    if (!this.store.state.snap || pointer === 'pen') return coordinate;
    return snapPlace({ plate: this.plate, grid: this.plan.grid, at: coordinate });
  }

  /** @private @param {any} event */
  takeModified(event) {
    const { draft } = this.store.state;
    if (!draft?.geometry) return;
    if (isCancelled(event)) return void this.show();
    const shown = /** @type {any} */ (this.shape.getGeometry());
    /** @type {any} */
    let geometry = this.plate.format.writeGeometryObject(shown);
    const pen = event?.originalEvent?.pointerType === 'pen';
    if (this.store.state.snap && !pen) geometry = this.snapMoved(draft.geometry, geometry);
    this.asDeed(event?.originalEvent?.pointerType, () => draft.reshape(geometry));
  }

  /** @private @param {any} before @param {any} after */
  snapMoved(before, after) {
    const old = new Set(lines(before).flatMap(({ points }) => points.map(String)));
    const walk = (/** @type {any} */ part) => (typeof part[0] === 'number' ? (old.has(String(part)) ? part : this.place(part, 'mouse')) : part.map(walk));
    return { type: after.type, coordinates: walk(after.coordinates) };
  }

  /** Bring what is drawn in line with the draft. @private */
  show() {
    const { draft, tool } = this.store.state;
    const sketch = draft?.sketchGeometry() ?? null;
    this.shape.setGeometry(draft?.geometry ? this.plate.geometryOf(draft.geometry) : undefined);
    this.sketch.setGeometry(sketch ? new ol.geom.LineString(draft?.sketch ?? []) : undefined);
    if (!this.isAdding || !draft?.sketch.length) this.rubber.setGeometry(undefined);
    if (!this.isAdding) this.marker.setGeometry(undefined);
    this.modify.setActive(Boolean(draft?.geometry) && !this.isAdding && tool === 'draw');
    this.plate.viewport.classList.toggle('is-drawing', this.isAdding);
  }

  /** @private */
  showStroke() {
    this.rubber.setGeometry(this.stroke && this.stroke.length > 1 ? new ol.geom.LineString(this.stroke) : undefined);
  }
}
