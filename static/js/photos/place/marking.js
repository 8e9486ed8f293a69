/**
 * Which points are marked on the photograph, which one is in hand, and what can be taken back? It holds no page and asks
 * no server.
 */
import { History } from '../../wall/history.js';

/** @typedef {[number, number]} Point */
/** @typedef {import('./targets.js').Target} Target */
/** @typedef {{id: number, px: Point, target: Target | null}} Mark */
/** @typedef {{marks: Mark[], chosen: number | null}} State */

export const FEWEST_POINTS = 4;
export const NUDGE_PX = 0.25;

export class Marking {
  /** @param {{width_px: number, height_px: number, onChange?: () => void}} options */
  constructor({ width_px, height_px, onChange = () => {} }) {
    this.size = { width_px, height_px };
    this.onChange = onChange;
    /** @type {State} */
    this.state = { marks: [], chosen: null };
    /** @type {History<{before: State, after: State}>} */
    this.history = new History();
    this.numbers = 0;
    /** @type {Target | null} what the next mark is, where a suggestion was taken */
    this.next = null;
  }

  get marks() { return this.state.marks; }

  /** @returns {Mark | null} */
  get chosen() { return this.marks.find(({ id }) => id === this.state.chosen) ?? null; }

  /** The points whose place on the wall is known. */
  get complete() { return this.marks.filter(({ target }) => target !== null); }

  /** Whether the points may place the photograph. */
  get isEnough() { return this.complete.length >= FEWEST_POINTS && this.complete.length === this.marks.length; }

  /** A tap on the photograph: the point in hand moves while it has no place on the wall; else a new one is marked. @param {Point} px */
  tap(px) {
    const { chosen } = this;
    if (chosen && !chosen.target) this.move(chosen.id, px);
    else this.add(px);
  }

  /** @param {Point} px */
  add(px) {
    this.numbers += 1;
    const mark = { id: this.numbers, px: this.within(px), target: this.next };
    this.next = null;
    this.become({ marks: [...this.marks, mark], chosen: mark.id });
  }

  /** @param {number} id @param {Point} px */
  move(id, px) {
    this.change(id, { px: this.within(px) });
  }

  /** Move the point in hand by a little. @param {number} right_px @param {number} down_px */
  nudge(right_px, down_px) {
    const { chosen } = this;
    if (chosen) this.move(chosen.id, [chosen.px[0] + right_px, chosen.px[1] + down_px]);
  }

  /** Say where on the wall a point is. @param {number} id @param {Target} target */
  name(id, target) {
    const other = this.marks.find((mark) => mark.id !== id && mark.target && mark.target.name === target.name);
    if (other) throw new Error(`"${target.name}" is marked already, as point ${this.numberOf(other.id)}. Choose another place, or take that point out.`);
    this.change(id, { target });
  }

  /** @param {number} id */
  remove(id) {
    const marks = this.marks.filter((mark) => mark.id !== id);
    this.become({ marks, chosen: this.state.chosen === id ? null : this.state.chosen });
  }

  /** @param {number | null} id */
  choose(id) {
    this.show({ ...this.state, chosen: id });
  }

  /** Choose the point after or before the one in hand. @param {number} step */
  chooseBy(step) {
    if (!this.marks.length) return;
    const at = this.marks.findIndex(({ id }) => id === this.state.chosen);
    const count = this.marks.length;
    this.choose(this.marks[at < 0 ? (step > 0 ? 0 : count - 1) : (at + step + count) % count].id);
  }

  /** Take up the points of a placement. @param {{name: string, kind: string, px: Point, wall_in: Point}[]} points */
  takeUp(points) {
    const marks = points.map(({ name, kind, px, wall_in }) => {
      this.numbers += 1;
      return { id: this.numbers, px, target: /** @type {Target} */ ({ name, kind, wall_in }) };
    });
    this.show({ marks, chosen: null });
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

  /** A point's number on the page, from 1. @param {number} id */
  numberOf(id) {
    return this.marks.findIndex((mark) => mark.id === id) + 1;
  }

  /** The points as they are sent. */
  toJson() {
    return this.complete.map(({ px, target }) => ({ name: /** @type {Target} */ (target).name, kind: /** @type {Target} */ (target).kind, px, wall_in: /** @type {Target} */ (target).wall_in }));
  }

  /** @private @param {number} id @param {Partial<Mark>} change */
  change(id, change) {
    this.become({ marks: this.marks.map((mark) => (mark.id === id ? { ...mark, ...change } : mark)), chosen: id });
  }

  /** @private @param {Point} px @returns {Point} to hundredths of a pixel, on the photograph */
  within([x, y]) {
    const limit = (/** @type {number} */ value, /** @type {number} */ most) => Math.round(Math.min(Math.max(value, 0), most) * 100) / 100;
    return [limit(x, this.size.width_px), limit(y, this.size.height_px)];
  }

  /** @private @param {State} after */
  become(after) {
    this.history.push({ before: this.state, after });
    this.show(after);
  }

  /** @private @param {State} state */
  show(state) {
    this.state = state;
    this.onChange();
  }
}
