/**
 * What do the two pictures look like, one over the other? A map in wall inches: equal scale and crop by itself, moved and
 * enlarged as one. It never tints a picture; hints are lines over both.
 */
import { strengthWord } from './words.js';

/** @typedef {import('./words.js').Hint} Hint */
/** @typedef {'edge' | 'turns' | 'difference' | 'beside'} Way */

const CLOSEST_IN_PER_PX = 1 / 600;
const LEAST_SHOWN_IN = 3;
const REACH_PX = 14;
const LIGHT = '#FFFCF6';
const DARK = '#211C17';
const CHOSEN = '#9A3B20';
const GAP_SHARE = 0.04; // of the width, between pictures that stand side by side
const PADDING_PX = [56, 76, 44, 16];

export class PairView {
  /**
   * @param {object} options
   * @param {HTMLElement} options.target
   * @param {number[]} options.bounds_in
   * @param {{before: string, after: string, difference: string | null}} options.urls
   * @param {boolean} options.isCalm whether the view jumps instead of gliding
   * @param {(key: string) => void} options.onChoose
   */
  constructor({ target, bounds_in, urls, isCalm, onChoose }) {
    this.bounds = bounds_in;
    this.isCalm = isCalm;
    this.projection = new ol.proj.Projection({ code: 'WALL:IN', units: 'pixels', extent: bounds_in, metersPerUnit: 0.0254 });
    this.before = this.pictureLayer(urls.before);
    this.after = this.pictureLayer(urls.after);
    const step = (bounds_in[2] - bounds_in[0]) * (1 + GAP_SHARE);
    this.bothBounds = [bounds_in[0], bounds_in[1], bounds_in[2] + step, bounds_in[3]];
    this.beside = this.pictureLayer(urls.after, [bounds_in[0] + step, bounds_in[1], bounds_in[2] + step, bounds_in[3]]);
    this.difference = urls.difference ? this.pictureLayer(urls.difference) : null;
    this.hints = new ol.source.Vector();
    this.hintLayer = new ol.layer.Vector({ source: this.hints, style: hintStyles, declutter: true, updateWhileInteracting: true, updateWhileAnimating: true });
    /** @type {Way} */
    this.way = 'edge';
    this.edge = 0.5;
    /** @type {'before' | 'after'} */
    this.shown = 'before';
    this.map = this.makeMap(target);
    this.after.on('prerender', (/** @type {any} */ event) => this.cut(event));
    this.after.on('postrender', (/** @type {any} */ event) => { if (this.way === 'edge') event.context.restore(); });
    this.map.on('click', (/** @type {any} */ event) => {
      const found = this.map.forEachFeatureAtPixel(event.pixel, (feature) => feature, { hitTolerance: REACH_PX, layerFilter: (layer) => layer === this.hintLayer });
      if (found) onChoose(String(found.getId()));
    });
    this.showWay('edge');
  }

  /** @private @param {HTMLElement} target */
  makeMap(target) {
    const [x0, y0, x1, y1] = this.bounds;
    const view = new ol.View({ projection: this.projection, center: [(x0 + x1) / 2, (y0 + y1) / 2], resolution: (x1 - x0) / 600, minResolution: CLOSEST_IN_PER_PX, maxResolution: (x1 - x0) / 200, extent: this.difference ? this.bounds : this.bothBounds, constrainOnlyCenter: true, constrainResolution: false, enableRotation: false });
    const interactions = ol.interaction.defaults.defaults({ doubleClickZoom: false, altShiftDragRotate: false, pinchRotate: false, keyboard: true });
    const pictures = [this.before, this.after, this.beside, this.difference].filter((layer) => layer !== null);
    return new ol.Map({ target, view, interactions, controls: [], moveTolerance: 6, layers: [...pictures, this.hintLayer] });
  }

  /** @private @param {string} url @param {number[]} [bounds_in] */
  pictureLayer(url, bounds_in = this.bounds) {
    return new ol.layer.Image({ source: new ol.source.ImageStatic({ url, projection: this.projection, imageExtent: bounds_in, interpolate: true }) });
  }

  /** Draw the later picture at the right of the edge only. @private @param {any} event */
  cut(event) {
    if (this.way !== 'edge') return;
    const [width, height] = this.map.getSize() ?? [0, 0];
    const corners = [[width * this.edge, 0], [width, 0], [width, height], [width * this.edge, height]].map((corner) => ol.render.getRenderPixel(event, corner));
    const pen = event.context;
    pen.save();
    pen.beginPath();
    corners.forEach(([x, y], index) => (index ? pen.lineTo(x, y) : pen.moveTo(x, y)));
    pen.closePath();
    pen.clip();
  }

  /** @param {Way} way */
  showWay(way) {
    const isMoved = (way === 'beside') !== (this.way === 'beside');
    this.way = way;
    this.beside.setVisible(way === 'beside');
    this.before.setVisible(way === 'edge' || way === 'beside' || (way === 'turns' && this.shown === 'before'));
    this.after.setVisible(way === 'edge' || (way === 'turns' && this.shown === 'after'));
    this.difference?.setVisible(way === 'difference');
    if (isMoved) this.fit();
    this.map.render();
  }

  /** @param {'before' | 'after'} shown the one that is shown while they take turns */
  showOne(shown) {
    this.shown = shown;
    this.showWay(this.way);
  }

  /** @param {number} share of the width at the left of the edge */
  showEdge(share) {
    this.edge = Math.min(1, Math.max(0, share));
    this.map.render();
  }

  /** @param {Hint[]} hints @param {string | null} chosen */
  showHints(hints, chosen) {
    this.hints.clear();
    this.hints.addFeatures(hints.map((hint) => {
      const feature = new ol.Feature({ geometry: new ol.geom.Polygon([[...hint.ring, hint.ring[0]]]), hint, isChosen: hint.key === chosen });
      feature.setId(hint.key);
      return feature;
    }));
  }

  /** @param {boolean} isShown */
  showOutlines(isShown) {
    this.hintLayer.setVisible(isShown);
  }

  fit() {
    this.map.updateSize();
    const shown = this.way === 'beside' ? this.bothBounds : this.bounds;
    this.map.getView().fit(shown, { size: this.map.getSize(), padding: PADDING_PX });
  }

  /** Come near a hint, with the wall around it. @param {Hint} hint */
  goTo({ ring }) {
    const xs = ring.map(([x]) => x);
    const ys = ring.map(([, y]) => y);
    const [x, y] = [(Math.min(...xs) + Math.max(...xs)) / 2, (Math.min(...ys) + Math.max(...ys)) / 2];
    const half = Math.max(LEAST_SHOWN_IN, 2 * (Math.max(...xs) - Math.min(...xs)), 2 * (Math.max(...ys) - Math.min(...ys))) / 2;
    this.map.getView().fit([x - half, y - half, x + half, y + half], { size: this.map.getSize(), padding: PADDING_PX, duration: this.isCalm ? 0 : 250 });
  }

  /** @param {number} steps */
  zoomBy(steps) {
    const view = this.map.getView();
    view.animate({ resolution: view.getConstrainedResolution((view.getResolution() ?? 1) / 2 ** steps), duration: this.isCalm ? 0 : 150 });
  }

  get resolution_in() {
    return this.map.getView().getResolution() ?? 1;
  }
}

/** @param {any} feature */
function hintStyles(feature) {
  const hint = /** @type {Hint} */ (feature.get('hint'));
  const isChosen = feature.get('isChosen');
  const color = isChosen ? CHOSEN : DARK;
  const dash = hint.answer?.answer === 'dismissed' ? [2, 4] : hint.answer ? undefined : [7, 4];
  const line = (/** @type {string} */ shade, /** @type {number} */ width, /** @type {number[] | undefined} */ lineDash) => new ol.style.Style({ stroke: new ol.style.Stroke({ color: shade, width, lineDash }) });
  const sign = hint.answer?.answer === 'accepted' ? ' ✓' : hint.answer ? ' ✕' : '';
  const name = new ol.style.Style({
    geometry: () => new ol.geom.Point(topOf(hint.ring)),
    text: new ol.style.Text({ text: `${hint.number}${sign}`, offsetY: -14, font: `600 ${isChosen ? 15 : 13}px "Source Sans 3", sans-serif`, padding: [1, 4, 0, 4], fill: new ol.style.Fill({ color: isChosen ? LIGHT : DARK }), backgroundFill: new ol.style.Fill({ color: isChosen ? CHOSEN : LIGHT }) }),
    zIndex: isChosen ? 2 : strengthWord(hint.strength) === 'strong' ? 1 : 0,
  });
  return [line(LIGHT, isChosen ? 6 : 4, undefined), line(color, isChosen ? 3 : 1.6, dash), name];
}

/** @param {[number, number][]} ring */
function topOf(ring) {
  return ring.reduce((top, place) => (place[1] > top[1] ? place : top));
}
