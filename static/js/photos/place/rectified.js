/**
 * Does the rectified copy sit on the grid? The copy in wall inches with the grid and the marked places over it.
 */

const LIGHT = '#FFFCF6';
const DARK = '#211C17';
const CLOSEST_IN_PER_PX = 1 / 1200;

export class RectifiedPlate {
  /**
   * @param {object} options
   * @param {HTMLElement} options.target
   * @param {{width_in: number, height_in: number}} options.wall
   * @param {import('../../shared/grid.js').Grid} options.grid
   */
  constructor({ target, wall, grid }) {
    this.grid = grid;
    const extent = [0, 0, wall.width_in, wall.height_in];
    this.projection = new ol.proj.Projection({ code: 'WALL:IN', units: 'pixels', extent, metersPerUnit: 0.0254 });
    this.picture = new ol.layer.Image();
    this.lines = new ol.source.Vector();
    this.lineLayer = new ol.layer.Vector({ source: this.lines });
    const view = new ol.View({ projection: this.projection, center: [wall.width_in / 2, wall.height_in / 2], resolution: 0.1, minResolution: CLOSEST_IN_PER_PX, maxResolution: wall.width_in / 200, constrainResolution: false, enableRotation: false });
    const interactions = ol.interaction.defaults.defaults({ doubleClickZoom: false, altShiftDragRotate: false, pinchRotate: false, keyboard: true });
    this.map = new ol.Map({ target, view, interactions, controls: [], layers: [this.picture, this.lineLayer] });
    /** @type {number[]} */
    this.bounds = extent;
  }

  /** @param {{url: string, bounds_in: number[]} | null} copy @param {{bounds_in: number[], points: {name: string, wall_in: [number, number]}[]}} placement */
  show(copy, { bounds_in, points }) {
    this.bounds = bounds_in;
    this.picture.setSource(copy ? new ol.source.ImageStatic({ url: copy.url, projection: this.projection, imageExtent: copy.bounds_in, interpolate: true }) : null);
    this.lines.clear();
    const [x0, y0, x1, y1] = bounds_in;
    const [columns, rows] = [this.grid.columns.linesIn, this.grid.rows.linesIn];
    const inside = (/** @type {number} */ value, /** @type {number} */ low, /** @type {number} */ high) => value >= low && value <= high;
    const lines = [...columns.filter((x) => inside(x, x0, x1)).map((x) => [[x, y0], [x, y1]]), ...rows.filter((y) => inside(y, y0, y1)).map((y) => [[x0, y], [x1, y]])];
    const drawn = new ol.Feature(new ol.geom.MultiLineString(lines));
    drawn.setStyle([stroke(DARK, 2.5), stroke(LIGHT, 1)]);
    this.lines.addFeatures([drawn, ...this.cellNames(), ...points.map(({ wall_in }, index) => pointFeature(wall_in, String(index + 1)))]);
  }

  /** @param {boolean} isShown */
  showGrid(isShown) {
    this.lineLayer.setVisible(isShown);
  }

  fit() {
    this.map.updateSize();
    this.map.getView().fit(this.bounds, { size: this.map.getSize(), padding: [12, 72, 12, 12] });
  }

  /** @param {number} steps */
  zoomBy(steps) {
    const view = this.map.getView();
    view.animate({ resolution: view.getConstrainedResolution((view.getResolution() ?? 1) / 2 ** steps), duration: 150 });
  }

  /** @private */
  cellNames() {
    const [x0, y0, x1, y1] = this.bounds;
    return this.grid.labels().flatMap((label) => {
      const [left, low, right, high] = this.grid.bounds(label);
      const shown = [Math.max(left, x0), Math.max(low, y0), Math.min(right, x1), Math.min(high, y1)];
      if (shown[2] - shown[0] < 3 || shown[3] - shown[1] < 3) return [];
      const feature = new ol.Feature(new ol.geom.Point([shown[0] + (shown[2] - shown[0]) / 4, shown[3] - (shown[3] - shown[1]) / 4]));
      feature.setStyle(new ol.style.Style({ text: text(label, {}) }));
      return [feature];
    });
  }
}

/** @param {[number, number]} place @param {string} number */
function pointFeature(place, number) {
  const feature = new ol.Feature(new ol.geom.Point(place));
  const ring = (/** @type {string} */ color, /** @type {number} */ width) => new ol.style.Style({ image: new ol.style.Circle({ radius: 9, stroke: new ol.style.Stroke({ color, width }) }) });
  feature.setStyle([ring(DARK, 4), ring(LIGHT, 2), new ol.style.Style({ text: text(number, { offsetX: 18, offsetY: 16 }) })]);
  return feature;
}

/** @param {string} words @param {object} place */
function text(words, place) {
  return new ol.style.Text({ text: words, font: '600 14px "Source Sans 3", sans-serif', padding: [1, 4, 0, 4], fill: new ol.style.Fill({ color: DARK }), backgroundFill: new ol.style.Fill({ color: LIGHT }), ...place });
}

/** @param {string} color @param {number} width */
function stroke(color, width) {
  return new ol.style.Style({ stroke: new ol.style.Stroke({ color, width }) });
}
