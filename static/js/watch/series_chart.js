/**
 * The chart of one channel: asks the server for as many columns as it is wide, zooms, reads along,
 * and keeps its crosshair in step with the other charts of the page.
 */

import { fill, make } from '../shared/dom.js';
import { drawingOf, HEIGHT, scalesOf } from './series_drawing.js';
import { fullMoment, nextSpan, numberText } from './series_scale.js';

/** @typedef {import('./series_drawing.js').Chart} Chart */
/** @typedef {{start: number, end: number}} Span */

const CROSS = 'series-moment';
const PNG_SCALE = 2;
const DRAWN = ['fill', 'stroke', 'stroke-width', 'stroke-dasharray', 'opacity', 'font-family', 'font-size', 'font-weight'];

export class SeriesChart {
  /** @param {HTMLElement} figure */
  constructor(figure) {
    this.figure = figure;
    this.said = /** @type {HTMLElement} */ (figure.querySelector('[data-said]'));
    this.place = /** @type {HTMLElement} */ (figure.querySelector('[data-drawing]'));
    this.whole = { start: seconds(figure.dataset.from), end: seconds(figure.dataset.to) };
    /** @type {Span} */
    this.span = this.whole;
    /** @type {Chart | null} */
    this.chart = null;
    this.asked = 0;
    this.at = 0;
    fill(/** @type {HTMLElement} */ (figure.querySelector('[data-tools]')), ...this.tools());
    document.addEventListener(CROSS, (event) => this.cross(/** @type {CustomEvent<number>} */ (event).detail));
    new ResizeObserver(() => this.draw()).observe(this.place);
  }

  /** Ask for the span's columns and draw them. @param {Span} [span] */
  async show(span = this.span) {
    this.span = span;
    this.asked += 1;
    const asked = this.asked;
    const columns = Math.max(Math.min(Math.round(this.place.clientWidth || 800), 2000), 50);
    try {
      const answer = await fetch(`${this.figure.dataset.source}?${this.query({ columns: String(columns) })}`);
      const body = await answer.json();
      if (asked !== this.asked) return;
      if (!answer.ok) throw new Error(body.message ?? 'The server has no answer.');
      this.chart = body;
      this.draw();
      this.say();
    } catch (error) {
      if (asked === this.asked) this.said.textContent = `The chart cannot be drawn: ${/** @type {Error} */ (error).message} The table below holds the same.`;
    }
  }

  /** @param {Record<string, string>} more */
  query(more = {}) {
    return new URLSearchParams({
      channel: this.figure.dataset.channel ?? '', from: iso(this.span.start), to: iso(this.span.end), ...more,
    }).toString();
  }

  draw() {
    if (!this.chart) return;
    this.scales = scalesOf(this.chart, Math.max(this.place.clientWidth, 240));
    const focused = this.place.contains(document.activeElement);
    const drawing = drawingOf(this.chart, this.scales);
    drawing.addEventListener('pointermove', (event) => this.point(event));
    drawing.addEventListener('pointerdown', (event) => this.point(event));
    drawing.addEventListener('keydown', (event) => this.key(event));
    drawing.addEventListener('wheel', (event) => this.wheel(event), { passive: false });
    fill(this.place, drawing);
    if (focused) drawing.focus();
    if (this.at) this.cross(this.at);
  }

  /** Say what is shown. */
  say() {
    const chart = this.chart;
    if (!chart) return;
    const parts = [`${fullMoment(chart.start)} to ${fullMoment(chart.end)}: ${chart.readings.toLocaleString('en')} readings`];
    if (chart.least.length) {
      const least = chart.least.reduce((one, other) => Math.min(one, other));
      const most = chart.most.reduce((one, other) => Math.max(one, other));
      parts.push(`least ${numberText(least, chart.digits)}, most ${numberText(most, chart.digits)} ${chart.unit}`);
    }
    if (chart.gaps.length) parts.push(`${chart.gaps.length} silence${chart.gaps.length > 1 ? 's' : ''}, hatched: unknown`);
    this.said.textContent = `${parts.join('; ')}.`;
  }

  tools() {
    /** @type {(words: string, step: () => void) => HTMLElement} */
    const button = (words, step) => make('button', { type: 'button', class: 'button', onclick: step }, words);
    return [
      button('Zoom in', () => this.step({ factor: 0.5, ...(this.at ? { about: this.at } : {}) })),
      button('Zoom out', () => this.step({ factor: 2 })),
      button('Earlier', () => this.step({ move: -0.5 })),
      button('Later', () => this.step({ move: 0.5 })),
      button('Show all', () => { this.show(this.whole); }),
      button('Save readings as CSV', () => { window.location.assign(`${this.figure.dataset.csv}?${this.query()}`); }),
      button('Save picture as PNG', () => { this.savePicture(); }),
    ];
  }

  /** @param {{about?: number, factor?: number, move?: number}} step */
  step(step) {
    const about = step.about;
    const inside = about !== undefined && about > this.span.start && about < this.span.end;
    this.show(nextSpan(this.span, this.whole, inside ? step : { ...step, about: undefined }));
  }

  /** @param {PointerEvent} event */
  point(event) {
    const drawing = /** @type {SVGSVGElement} */ (event.currentTarget);
    const frame = drawing.getBoundingClientRect();
    if (this.scales) tell(this.scales.seconds(((event.clientX - frame.left) / frame.width) * this.scales.width));
  }

  /** @param {WheelEvent} event */
  wheel(event) {
    if (!event.ctrlKey) return;
    event.preventDefault();
    this.step({ factor: event.deltaY > 0 ? 1.5 : 1 / 1.5, about: this.at || undefined });
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    const chart = this.chart;
    if (!chart) return;
    const step = (chart.end - chart.start) / chart.columns;
    const from = this.at || (chart.start + chart.end) / 2;
    const keys = /** @type {Record<string, () => void>} */ ({
      ArrowLeft: () => tell(from - step * (event.shiftKey ? 20 : 1)),
      ArrowRight: () => tell(from + step * (event.shiftKey ? 20 : 1)),
      Home: () => tell(chart.start),
      End: () => tell(chart.end),
      PageUp: () => this.step({ move: -0.5 }),
      PageDown: () => this.step({ move: 0.5 }),
      '+': () => this.step({ factor: 0.5, about: from }),
      '-': () => this.step({ factor: 2, about: from }),
    });
    const act = keys[event.key];
    if (!act) return;
    event.preventDefault();
    act();
  }

  /** Put the crosshair at a moment and say what stands there. @param {number} at */
  cross(at) {
    const { chart, scales } = this;
    const line = this.place.querySelector('[data-cross]');
    if (!chart || !scales || !line) return;
    this.at = Math.min(Math.max(at, chart.start), chart.end);
    const x = String(scales.x(this.at));
    line.setAttribute('x1', x);
    line.setAttribute('x2', x);
    line.setAttribute('visibility', 'visible');
    this.said.textContent = `${fullMoment(this.at)}: ${this.valueAt(chart)}`;
  }

  /** @param {Chart} chart */
  valueAt(chart) {
    if (chart.gaps.some(([from, to]) => this.at > from && this.at < to)) return 'unknown, the instrument was silent.';
    const column = ((this.at - chart.start) / (chart.end - chart.start)) * chart.columns - 0.5;
    const n = nearest(chart.filled, column);
    if (n < 0) return 'nothing was read.';
    const [least, most] = [numberText(chart.least[n], chart.digits), numberText(chart.most[n], chart.digits)];
    return least === most ? `${most} ${chart.unit}.` : `${least} to ${most} ${chart.unit}.`;
  }

  /** Save the drawing, with the colours of the page, as a picture. */
  async savePicture() {
    const drawing = this.place.querySelector('svg');
    if (!drawing || !this.scales) return;
    const copy = /** @type {SVGSVGElement} */ (drawing.cloneNode(true));
    const [from, to] = [drawing.querySelectorAll('*'), copy.querySelectorAll('*')];
    from.forEach((one, n) => {
      const style = getComputedStyle(one);
      for (const name of DRAWN) to[n].setAttribute(name, style.getPropertyValue(name));
    });
    const [width, height] = [this.scales.width * PNG_SCALE, HEIGHT * PNG_SCALE];
    copy.setAttribute('width', String(width));
    copy.setAttribute('height', String(height));
    const source = URL.createObjectURL(new Blob([new XMLSerializer().serializeToString(copy)], { type: 'image/svg+xml' }));
    const picture = new Image();
    picture.src = source;
    await picture.decode();
    const canvas = make('canvas', { width, height });
    const ink = /** @type {CanvasRenderingContext2D} */ (canvas.getContext('2d'));
    ink.fillStyle = getComputedStyle(this.figure).backgroundColor;
    ink.fillRect(0, 0, width, height);
    ink.drawImage(picture, 0, 0, width, height);
    URL.revokeObjectURL(source);
    canvas.toBlob((blob) => {
      if (!blob) return;
      const address = URL.createObjectURL(blob);
      make('a', { href: address, download: `${this.figure.dataset.name}.png` }).click();
      URL.revokeObjectURL(address);
    }, 'image/png');
  }
}

/** Tell every chart of the page where the crosshair stands. @param {number} at */
function tell(at) {
  document.dispatchEvent(new CustomEvent(CROSS, { detail: at }));
}

/** The place of the number nearest to a value in a rising list, −1 in an empty one. @param {number[]} rising @param {number} value */
export function nearest(rising, value) {
  let low = 0;
  let high = rising.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (rising[middle] < value) low = middle + 1; else high = middle;
  }
  if (low === rising.length) return low - 1;
  return low > 0 && value - rising[low - 1] < rising[low] - value ? low - 1 : low;
}

/** @param {string | undefined} text */
function seconds(text) {
  return Date.parse(text ?? '') / 1000;
}

/** @param {number} at */
function iso(at) {
  return new Date(at * 1000).toISOString();
}
