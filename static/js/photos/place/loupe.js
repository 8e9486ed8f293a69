/**
 * How does the point in hand sit on the photograph, closely? A magnifier with a cross: a tap or drag in it sets the point,
 * arrows move it by a quarter of a pixel.
 */
import { button, choiceRow } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';
import { NUDGE_PX } from './marking.js';

/** @typedef {[number, number]} Point */

const SIDE_PX = 232;
const GAP_PX = 5;
const ENLARGEMENTS = [4, 6, 8];

export class Loupe {
  /**
   * @param {object} options
   * @param {{url: string, width_px: number, height_px: number}} options.photograph
   * @param {import('./marking.js').Marking} options.marking
   */
  constructor({ photograph, marking }) {
    this.photograph = photograph;
    this.marking = marking;
    this.enlargement = 6;
    this.picture = new Image();
    this.picture.addEventListener('load', () => this.show());
    this.picture.src = photograph.url;
    const sharp = Math.min(window.devicePixelRatio || 1, 2);
    this.canvas = make('canvas', { class: 'loupe-canvas', width: SIDE_PX * sharp, height: SIDE_PX * sharp, role: 'img' });
    this.sharp = sharp;
    /** @type {{at: Point, px: Point} | null} where a drag began */
    this.held = null;
    this.words = make('p', { class: 'loupe-words' });
    const arrow = (/** @type {string} */ text, /** @type {string} */ name, /** @type {number} */ right, /** @type {number} */ down) => button(text, () => marking.nudge(right * NUDGE_PX, down * NUDGE_PX), { class: `loupe-${name}`, 'aria-label': `Move the point ${name} by a quarter of a pixel` });
    this.arrows = make('div', { class: 'loupe-arrows', role: 'group', 'aria-label': 'Move the point by a quarter of a pixel' },
      arrow('↑', 'up', 0, -1), arrow('←', 'left', -1, 0), arrow('→', 'right', 1, 0), arrow('↓', 'down', 0, 1));
    this.element = make('div', { class: 'loupe' }, this.canvas, make('div', { class: 'loupe-side' }, this.arrows,
      choiceRow({ label: 'Magnifier', choices: ENLARGEMENTS.map((value) => ({ value, text: `${value}×` })), value: this.enlargement, required: true, quiet: true, onChange: (value) => { this.enlargement = value ?? 6; this.show(); } }), this.words));
    this.listen();
  }

  show() {
    const { chosen } = this.marking;
    this.element.hidden = !chosen;
    if (!chosen) return;
    const [x, y] = chosen.px;
    const number = this.marking.numberOf(chosen.id);
    this.canvas.setAttribute('aria-label', `Point ${number} magnified ${this.enlargement} times, at ${x.toFixed(2)}, ${y.toFixed(2)} px`);
    fill(this.words, make('span', {}, `${x.toFixed(2)} px across`), make('span', {}, `${y.toFixed(2)} px down`));
    this.draw(chosen.px);
  }

  /** @private @param {Point} px */
  draw([x, y]) {
    const context = /** @type {CanvasRenderingContext2D} */ (this.canvas.getContext('2d'));
    context.setTransform(this.sharp, 0, 0, this.sharp, 0, 0);
    context.fillStyle = '#4A4036';
    context.fillRect(0, 0, SIDE_PX, SIDE_PX);
    if (this.picture.naturalWidth) {
      // A very wide photograph is shown smaller than it is.
      const share = this.picture.naturalWidth / this.photograph.width_px;
      const span = SIDE_PX / this.enlargement;
      context.imageSmoothingEnabled = false;
      context.drawImage(this.picture, (x - span / 2) * share, (y - span / 2) * share, span * share, span * share, 0, 0, SIDE_PX, SIDE_PX);
    }
    const middle = SIDE_PX / 2;
    for (const [color, width] of /** @type {[string, number][]} */ ([['#211C17', 3], ['#FFFCF6', 1]])) {
      context.strokeStyle = color;
      context.lineWidth = width;
      context.beginPath();
      for (const [ax, ay] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
        context.moveTo(middle + ax * GAP_PX, middle + ay * GAP_PX);
        context.lineTo(middle + (ax * SIDE_PX) / 2, middle + (ay * SIDE_PX) / 2);
      }
      context.stroke();
    }
    context.fillStyle = '#FFFCF6';
    context.fillRect(middle - 0.75, middle - 0.75, 1.5, 1.5);
  }

  /** @private */
  listen() {
    this.canvas.addEventListener('pointerdown', (event) => {
      const { chosen } = this.marking;
      if (!chosen) return;
      this.canvas.setPointerCapture(event.pointerId);
      this.held = { at: [event.offsetX, event.offsetY], px: chosen.px };
      this.moved = false;
    });
    this.canvas.addEventListener('pointermove', (event) => {
      if (!this.held) return;
      const [right, down] = [event.offsetX - this.held.at[0], event.offsetY - this.held.at[1]];
      this.moved ||= Math.hypot(right, down) > 4;
      // The picture follows the finger under the cross; the point is set when it is let go.
      if (this.moved) this.draw([this.held.px[0] - right / this.enlargement, this.held.px[1] - down / this.enlargement]);
    });
    this.canvas.addEventListener('pointerup', (event) => this.letGo(event));
    this.canvas.addEventListener('pointercancel', () => { this.held = null; this.show(); });
  }

  /** @private @param {PointerEvent} event */
  letGo(event) {
    const { held, enlargement, marking } = this;
    this.held = null;
    if (!held || !marking.chosen) return;
    const [x, y] = held.px;
    const [right, down] = this.moved ? [held.at[0] - event.offsetX, held.at[1] - event.offsetY] : [event.offsetX - SIDE_PX / 2, event.offsetY - SIDE_PX / 2];
    marking.move(marking.chosen.id, [x + right / enlargement, y + down / enlargement]);
  }
}
