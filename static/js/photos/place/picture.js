/**
 * What does the photograph look like with its marked points? The map in pixels of the upright picture; it never tints it.
 */

/** @typedef {[number, number]} Point */
/** @typedef {import('./sight.js').Sight} Sight */

const CLOSEST = 1 / 8;
const REACH_PX = 24;
const ARM_PX = 13;
const LIGHT = '#FFFCF6';
const DARK = '#211C17';
const CHOSEN = '#9A3B20';
const LINE_STEPS = 24;

export class PicturePlate {
  /**
   * @param {object} options
   * @param {HTMLElement} options.target
   * @param {{width_px: number, height_px: number, url: string}} options.photograph
   * @param {(px: Point) => void} options.onTap
   * @param {(id: number) => void} options.onChoose
   */
  constructor({ target, photograph, onTap, onChoose }) {
    this.size = photograph;
    const extent = [0, 0, photograph.width_px, photograph.height_px];
    const projection = new ol.proj.Projection({ code: 'PHOTO:PX', units: 'pixels', extent });
    this.marks = new ol.source.Vector();
    this.lines = new ol.source.Vector();
    const picture = new ol.layer.Image({ source: new ol.source.ImageStatic({ url: photograph.url, projection, imageExtent: extent, interpolate: true }) });
    const view = new ol.View({ projection, center: [extent[2] / 2, extent[3] / 2], resolution: 1, minResolution: CLOSEST, maxResolution: Math.max(extent[2], extent[3]) / 200, extent, constrainOnlyCenter: true, constrainResolution: false, enableRotation: false });
    const interactions = ol.interaction.defaults.defaults({ doubleClickZoom: false, altShiftDragRotate: false, pinchRotate: false, keyboard: false });
    this.map = new ol.Map({
      target, view, interactions, controls: [], moveTolerance: 6,
      layers: [picture, new ol.layer.Vector({ source: this.lines, style: lineStyles() }), new ol.layer.Vector({ source: this.marks, style: markStyles, updateWhileInteracting: true, updateWhileAnimating: true })],
    });
    this.map.on('click', (/** @type {any} */ event) => {
      const near = this.markNear(event.pixel);
      if (near === null) onTap(this.pictureOf(event.coordinate));
      else onChoose(near);
    });
  }

  /** Show the points. @param {import('./marking.js').Marking} marking @param {Set<string>} doubted names of points that disagree */
  showMarks(marking, doubted) {
    this.marks.clear();
    this.marks.addFeatures(marking.marks.map(({ id, px, target }, index) => {
      const feature = new ol.Feature({ geometry: new ol.geom.Point(this.mapOf(px)), number: index + 1, chosen: marking.state.chosen === id, named: target !== null, doubted: Boolean(target && doubted.has(target.name)) });
      feature.setId(id);
      return feature;
    }));
  }

  /** Show the grid as the points place it. @param {Sight | null} sight @param {import('../../shared/grid.js').Grid} grid @param {number[]} box [in] */
  showGrid(sight, grid, [x0, y0, x1, y1]) {
    this.lines.clear();
    if (!sight) return;
    const line = (/** @type {Point} */ from, /** @type {Point} */ to) => Array.from({ length: LINE_STEPS + 1 }, (_, step) => this.mapOf(sight.toPicture([from[0] + ((to[0] - from[0]) * step) / LINE_STEPS, from[1] + ((to[1] - from[1]) * step) / LINE_STEPS])));
    const [columns, rows] = [grid.columns.linesIn.filter((x) => x >= x0 && x <= x1), grid.rows.linesIn.filter((y) => y >= y0 && y <= y1)];
    const all = [...columns.map((x) => line([x, y0], [x, y1])), ...rows.map((y) => line([x0, y], [x1, y]))];
    this.lines.addFeature(new ol.Feature(new ol.geom.MultiLineString(all)));
  }

  /** @param {number} steps */
  zoomBy(steps) {
    const view = this.map.getView();
    view.animate({ resolution: view.getConstrainedResolution((view.getResolution() ?? 1) / 2 ** steps), duration: 150 });
  }

  fit() {
    this.map.updateSize();
    this.map.getView().fit([0, 0, this.size.width_px, this.size.height_px], { size: this.map.getSize(), padding: [12, 12, 12, 12] });
  }

  /** Bring a pixel into view. @param {Point} px @param {number} [resolution] photograph pixels per screen pixel */
  goTo(px, resolution) {
    const view = this.map.getView();
    view.setCenter(this.mapOf(px));
    if (resolution && (view.getResolution() ?? 1) > resolution) view.setResolution(resolution);
  }

  /** Bring a point into view where it is not. @param {Point} px */
  keepInView(px) {
    const [x0, y0, x1, y1] = this.map.getView().calculateExtent(this.map.getSize());
    const [x, y] = this.mapOf(px);
    if (x < x0 || x > x1 || y < y0 || y > y1) this.goTo(px);
  }

  /** @returns {Point} the pixel in the middle of the view */
  get middle() {
    return this.pictureOf(/** @type {Point} */ (this.map.getView().getCenter()));
  }

  /** @private @param {number[]} pixel of the screen @returns {number | null} */
  markNear(pixel) {
    let [best, nearest] = [/** @type {number | null} */ (null), REACH_PX];
    for (const feature of this.marks.getFeatures()) {
      const at = this.map.getPixelFromCoordinate(/** @type {any} */ (feature.getGeometry()).getCoordinates());
      const away = Math.hypot(at[0] - pixel[0], at[1] - pixel[1]);
      if (away <= nearest) [best, nearest] = [Number(feature.getId()), away];
    }
    return best;
  }

  /** The map's y goes up, the picture's down. @private @param {Point} px */
  mapOf([x, y]) { return [x, this.size.height_px - y]; }

  /** @private @param {number[]} place @returns {Point} */
  pictureOf([x, y]) { return [x, this.size.height_px - y]; }
}

/** Light on dark, so that lines are seen on any picture. */
function lineStyles() {
  const stroke = (/** @type {string} */ color, /** @type {number} */ width) => new ol.style.Style({ stroke: new ol.style.Stroke({ color, width }) });
  return [stroke(DARK, 3), stroke(LIGHT, 1.2)];
}

/** @param {any} feature */
function markStyles(feature) {
  const { number, chosen, named, doubted } = feature.getProperties();
  const cross = (/** @type {string} */ color, /** @type {number} */ width) => new ol.style.Style({ image: new ol.style.RegularShape({ points: 4, radius: ARM_PX, radius2: 0, angle: 0, stroke: new ol.style.Stroke({ color, width }) }) });
  const ring = (/** @type {string} */ color, /** @type {number} */ width) => new ol.style.Style({ image: new ol.style.Circle({ radius: 15, stroke: new ol.style.Stroke({ color, width, lineDash: named ? undefined : [4, 4] }) }) });
  const words = `${number}${doubted ? ' !' : ''}${named ? '' : ' ?'}`;
  const label = new ol.style.Style({ text: new ol.style.Text({ text: words, font: '600 15px "Source Sans 3", sans-serif', offsetX: 20, offsetY: -18, padding: [1, 4, 0, 4], fill: new ol.style.Fill({ color: chosen ? LIGHT : DARK }), backgroundFill: new ol.style.Fill({ color: chosen ? CHOSEN : LIGHT }), backgroundStroke: new ol.style.Stroke({ color: doubted ? CHOSEN : DARK, width: 1 }) }) });
  return [ring(DARK, 4), ring(chosen ? '#F2A487' : LIGHT, 2), cross(DARK, 3), cross(LIGHT, 1), label];
}
