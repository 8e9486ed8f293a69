/**
 * Which pointers reach the plate? A palm that lands before or beside the pen does not; a pointer that the system cut off
 * taps nothing. It decides for the plate as a whole, before anything listens, and draws nothing itself.
 */

/** How long before the pen a touch counts as the palm of the hand that holds it [ms]. */
export const PALM_MS = 300;

/** Whether an event of the map comes from a pointer that was cut off. @param {any} event */
export function isCancelled(event) {
  return event?.originalEvent?.type === 'pointercancel';
}

export class PointerGate {
  /**
   * @param {object} options
   * @param {import('./plate.js').Plate} options.plate
   * @param {() => void} options.onPen a pen is over or on the plate
   * @param {(since_ms: number) => void} options.onPalm what touches did since then is to be taken back
   */
  constructor({ plate, onPen, onPalm }) {
    this.plate = plate;
    this.onPen = onPen;
    this.onPalm = onPalm;
    /** @type {Map<number, PointerEvent>} touches on the plate, by pointer */
    this.touches = new Map();
    /** @type {Set<number>} touches that reach nothing until they are lifted */
    this.dropped = new Set();
    /** @type {number | null} the pen that is down */
    this.pen = null;
    this.lastTouch_ms = -Infinity;
    /** @type {{began_ms: number, center: number[], resolution: number} | null} the view before the touches that lie on the plate */
    this.viewBefore = null;
    this.isCuttingOff = false;
    const work = /** @type {Record<string, (event: PointerEvent) => void>} */ ({
      pointerdown: (event) => this.down(event), pointermove: (event) => this.move(event), pointerup: (event) => this.up(event), pointercancel: (event) => this.up(event),
    });
    for (const [name, take] of Object.entries(work)) plate.target.addEventListener(name, (event) => this.pass(/** @type {PointerEvent} */ (event), take), { capture: true });
    // The map makes a click of every pointer that ends where it began, also of one that was cut off.
    plate.map.on(/** @type {any} */ ('pointerup'), (/** @type {any} */ event) => { if (isCancelled(event)) event.preventDefault(); });
  }

  /** @private @param {PointerEvent} event @param {(event: PointerEvent) => void} take */
  pass(event, take) {
    if (this.isCuttingOff) return;
    const wasDropped = this.dropped.has(event.pointerId);
    take(event);
    if (wasDropped || this.dropped.has(event.pointerId)) event.stopPropagation();
    if (event.type === 'pointerup' || event.type === 'pointercancel') this.dropped.delete(event.pointerId);
  }

  /** @private @param {PointerEvent} event */
  down(event) {
    if (event.pointerType === 'pen') this.penDown(event);
    if (event.pointerType !== 'touch') return;
    if (this.pen !== null) this.dropped.add(event.pointerId);
    else this.touchDown(event);
  }

  /** @private @param {PointerEvent} event */
  move(event) {
    if (event.pointerType === 'pen') this.onPen();
    if (event.pointerType === 'touch' && this.touches.has(event.pointerId)) this.lastTouch_ms = event.timeStamp;
  }

  /** @private @param {PointerEvent} event */
  up(event) {
    if (event.pointerId === this.pen) this.pen = null;
    if (this.touches.delete(event.pointerId)) this.lastTouch_ms = event.timeStamp;
  }

  /** @private @param {PointerEvent} event */
  touchDown(event) {
    if (this.touches.size === 0) {
      const view = this.plate.map.getView();
      this.viewBefore = { began_ms: event.timeStamp, center: view.getCenter() ?? [0, 0], resolution: view.getResolution() ?? 1 };
    }
    this.touches.set(event.pointerId, event);
    this.lastTouch_ms = event.timeStamp;
  }

  /** @private @param {PointerEvent} event */
  penDown(event) {
    const since_ms = event.timeStamp - PALM_MS;
    const isPalm = this.touches.size > 0 || this.lastTouch_ms >= since_ms;
    this.pen = event.pointerId;
    for (const touch of this.touches.values()) this.cutOff(touch);
    this.touches.clear();
    this.onPen();
    if (!isPalm) return;
    this.putViewBack(since_ms);
    this.onPalm(since_ms);
  }

  /** End a touch for the map as the system would, and let the rest of it reach nothing. @private @param {PointerEvent} touch */
  cutOff(touch) {
    this.dropped.add(touch.pointerId);
    this.isCuttingOff = true;
    const { pointerId, pointerType, clientX, clientY } = touch;
    touch.target?.dispatchEvent(new PointerEvent('pointercancel', { bubbles: true, pointerId, pointerType, clientX, clientY }));
    this.isCuttingOff = false;
  }

  /** A palm that slid a moment ago moved the wall under the pen. @private @param {number} since_ms */
  putViewBack(since_ms) {
    const before = this.viewBefore;
    this.viewBefore = null;
    if (!before || before.began_ms < since_ms) return;
    const view = this.plate.map.getView();
    view.cancelAnimations();
    view.setCenter(before.center);
    view.setResolution(before.resolution);
  }
}
