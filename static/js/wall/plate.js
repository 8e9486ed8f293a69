/**
 * What does the chosen cell, bay or wall look like close up? The map: ground, picture, grid, outlines, what is edited.
 * It shows and answers where; it states nothing and never tints the picture.
 */
import { pictureKey, tileGridOptions } from './base_pictures.js';
import { boundsOf, rectangleRings } from './geometry.js';
import { CELL_FRAME_STYLES, CHOSEN_STYLES, PAPER_LOOKS, outlineStyles, previousStyles, gridLabelStyle, openingStyle, obstructionStyle } from './plate_styles.js';

/** @typedef {import('./plan.js').WallPlan} WallPlan */
/** @typedef {import('./statements.js').Outline} Outline */
/** @typedef {import('./marks.js').TermMarks} TermMarks */

const TILE_PX = 512;
const CLOSEST_IN_PER_PX = 1 / 64;
/** Room for the buttons over the map: top, right, bottom, left. */
const VIEW_PADDING_PX = [24, 72, 40, 24];

/** The map stretches a tile to its full size; those at the end of the picture are laid on one of full size instead. */
class WholeTile extends ol.ImageTile {
  /** @override */
  getImage() {
    const image = /** @type {HTMLImageElement} */ (super.getImage());
    if (!image || !image.complete || !image.width || (image.width === TILE_PX && image.height === TILE_PX)) return image;
    if (!this.whole) {
      this.whole = document.createElement('canvas');
      this.whole.width = this.whole.height = TILE_PX;
      this.whole.getContext('2d')?.drawImage(image, 0, 0);
    }
    return this.whole;
  }
}

export class Plate {
  /**
   * @param {object} options
   * @param {HTMLElement} options.target
   * @param {WallPlan} options.plan
   * @param {TermMarks} options.marks
   * @param {import('./base_pictures.js').BasePicture[]} options.pictures
   */
  constructor({ target, plan, marks, pictures }) {
    this.plan = plan;
    this.marks = marks;
    this.projection = new ol.proj.Projection({ code: 'WALL:IN', units: 'pixels', extent: plan.extent, metersPerUnit: 0.0254 });
    this.format = new ol.format.GeoJSON();
    this.outlineSource = new ol.source.Vector();
    this.previousSource = new ol.source.Vector();
    this.activeSource = new ol.source.Vector();
    this.hiddenSource = new ol.source.Vector();
    this.pictureLayers = pictures.map((picture) => ({ picture, layer: this.pictureLayer(picture) }));
    this.outlineLayer = new ol.layer.VectorImage({ source: this.outlineSource, style: outlineStyles(marks), imageRatio: 1.5, declutter: false });
    this.previousLayer = new ol.layer.VectorImage({ source: this.previousSource, style: previousStyles(marks), imageRatio: 1.5 });
    this.cellFrame = new ol.Feature();
    this.chosenSource = new ol.source.Vector();
    this.chosenLayer = new ol.layer.Vector({ source: this.chosenSource, style: CHOSEN_STYLES, zIndex: 15 });
    this.activeLayer = new ol.layer.Vector({ source: this.activeSource, updateWhileInteracting: true, updateWhileAnimating: true, zIndex: 20 });
    this.hiddenLayer = new ol.layer.Vector({ source: this.hiddenSource, zIndex: 10 });
    /** @type {import('./base_pictures.js').BasePicture | null} the picture under the pen */
    this.picture = null;
    this.map = this.makeMap(target);
    this.target = target;
    this.viewport = /** @type {HTMLElement} */ (this.map.getViewport());
  }

  /** @returns {import('./plate_styles.js').Looks} */
  get looks() { return PAPER_LOOKS; }

  /** Room that is kept free around what is brought into view: top, right, bottom, left. */
  get padding_px() { return VIEW_PADDING_PX; }

  /** @private @param {HTMLElement} target */
  makeMap(target) {
    const [width, height] = [this.plan.width_in, this.plan.height_in];
    const margin_in = Math.max(width, height) * 0.05;
    const view = new ol.View({
      projection: this.projection, center: [width / 2, height / 2], resolution: width / 800,
      extent: [-margin_in, -margin_in, width + margin_in, height + margin_in], constrainOnlyCenter: true,
      minResolution: CLOSEST_IN_PER_PX, maxResolution: Math.max(width, height) / 200, constrainResolution: false,
      showFullExtent: true, enableRotation: false,
    });
    const interactions = ol.interaction.defaults.defaults({ doubleClickZoom: false, altShiftDragRotate: false, pinchRotate: false, keyboard: true });
    return new ol.Map({
      target, view, moveTolerance: 6, controls: [], interactions,
      layers: [this.groundLayer(), ...this.pictureLayers.map(({ layer }) => layer), this.fixedLayer(), this.previousLayer, this.outlineLayer, this.frameLayer(), this.hiddenLayer, this.chosenLayer, this.activeLayer],
    });
  }

  /** Show the first picture of one mode, or none. @param {string | null} mode @returns {any} the picture shown */
  showPicture(mode) {
    return this.show(this.pictureLayers.find(({ picture }) => picture.mode === mode)?.picture ?? null);
  }

  /** Show one picture among those of all modes, or none. @param {string | null} key @returns {any} the picture shown */
  showPictureOf(key) {
    return this.show(this.pictureLayers.find(({ picture }) => pictureKey(picture) === key)?.picture ?? null);
  }

  /** @private @param {import('./base_pictures.js').BasePicture | null} shown */
  show(shown) {
    for (const { picture, layer } of this.pictureLayers) layer.setVisible(picture === shown);
    this.picture = shown;
    return shown;
  }

  /** Replace the outlines shown. @param {Iterable<Outline>} outlines */
  showOutlines(outlines) {
    syncSource(this.outlineSource, outlines, (outline) => this.featureOf(outline));
  }

  /** Replace the last survey's outlines shown. @param {Iterable<Outline>} outlines */
  showPrevious(outlines) {
    syncSource(this.previousSource, outlines, (outline) => this.featureOf(outline));
  }

  /** Frame the chosen cell. @param {number[]} box [in] */
  showCell(box) {
    this.cellFrame.setGeometry(new ol.geom.Polygon(rectangleRings(box)));
  }

  /** Mark the chosen outline and bring it into view. @param {import('./geometry.js').Geometry | null} geometry */
  showChosen(geometry) {
    this.chosenSource.clear();
    if (!geometry) return;
    this.chosenSource.addFeature(new ol.Feature(this.geometryOf(geometry)));
    this.bringIntoView(boundsOf(geometry));
  }

  /** Move only when a box is not wholly in view; what is small is shown with the wall around it. @param {number[]} box [in] */
  bringIntoView(box) {
    if (this.shows(box)) return;
    const around_in = Math.max(12, (box[2] - box[0]) / 2, (box[3] - box[1]) / 2);
    this.fit([box[0] - around_in, box[1] - around_in, box[2] + around_in, box[3] + around_in]);
  }

  /** @param {'full' | 'faint' | 'off'} strength how strongly the outlines lie over the picture */
  setOutlineStrength(strength) {
    const opacity = { full: 1, faint: 0.4, off: 0 }[strength];
    for (const layer of [this.outlineLayer, this.previousLayer]) {
      layer.setOpacity(opacity);
      layer.setVisible(opacity > 0);
    }
  }

  /** Bring a box of the wall into view. @param {number[]} box [in] @param {boolean} [glide] */
  fit(box, glide = false) {
    this.map.getView().fit(box, { size: this.map.getSize(), padding: this.padding_px, duration: glide ? 200 : 0, minResolution: CLOSEST_IN_PER_PX });
  }

  /** Whether a box is wholly in view. @param {number[]} box */
  shows(box) {
    return ol.extent.containsExtent(this.viewBox(), box);
  }

  /** @returns {number[]} the part of the wall in view [in] */
  viewBox() {
    return this.map.getView().calculateExtent(this.map.getSize());
  }

  /** @returns {number} inches of wall per screen pixel */
  get resolution_in() {
    return this.map.getView().getResolution() ?? 1;
  }

  /** Come nearer or go back by steps. @param {number} steps */
  zoomBy(steps) {
    const view = this.map.getView();
    view.animate({ resolution: view.getConstrainedResolution(this.resolution_in / 2 ** steps), duration: 150 });
  }

  /**
   * The outline under a place on the screen: the smallest of this survey's, else the smallest of the last one's.
   * @param {number[]} pixel
   * @param {number} tolerance_px
   * @returns {import('./state.js').Chosen | null}
   */
  outlineAt(pixel, tolerance_px) {
    const reach_in = tolerance_px * this.resolution_in;
    const place = this.map.getCoordinateFromPixel(pixel);
    for (const [layer, source, shown] of /** @type {const} */ ([['own', this.outlineSource, this.outlineLayer], ['previous', this.previousSource, this.previousLayer]])) {
      if (!shown.getVisible()) continue;
      const found = smallestNear(source, place, reach_in);
      if (found) return { layer, id: String(found.getId()) };
    }
    return null;
  }

  /** @param {import('./geometry.js').Geometry} geometry @returns {any} the same for the map */
  geometryOf(geometry) {
    return this.format.readGeometry(geometry);
  }

  /** @param {Outline} outline */
  featureOf(outline) {
    const feature = new ol.Feature({ geometry: this.geometryOf(outline.geometry), term: outline.term, entry: outline.entry, pending: outline.pending, conflict: outline.conflict, basis: outline.basis });
    feature.setId(outline.id);
    return feature;
  }

  /** @private @param {import('./base_pictures.js').BasePicture} picture */
  pictureLayer(picture) {
    if (picture.kind !== 'tiles') return new ol.layer.Image({ visible: false, source: new ol.source.ImageStatic({ url: picture.url, projection: this.projection, imageExtent: picture.bounds_in, interpolate: true }) });
    const tileGrid = new ol.tilegrid.TileGrid(tileGridOptions(picture));
    const source = new ol.source.TileImage({ url: picture.url, projection: this.projection, tileGrid, interpolate: true, tileClass: WholeTile, transition: 0 });
    return new ol.layer.Tile({ visible: false, extent: picture.bounds_in, source, preload: 1 });
  }

  /** @protected the chosen cell's frame */
  frameLayer() {
    return new ol.layer.Vector({ source: new ol.source.Vector({ features: [this.cellFrame] }), style: CELL_FRAME_STYLES });
  }

  /** @private the bare wall */
  groundLayer() {
    const wall = new ol.Feature(new ol.geom.Polygon(rectangleRings(this.plan.extent)));
    const style = new ol.style.Style({ fill: new ol.style.Fill({ color: this.looks.wall }), stroke: new ol.style.Stroke({ color: this.looks.edge, width: 1.5 }) });
    return new ol.layer.Vector({ source: new ol.source.Vector({ features: [wall] }), style });
  }

  /** @private grid lines, cell names, openings and obstructions */
  fixedLayer() {
    const { grid, openings, obstructions, width_in, height_in } = this.plan;
    const upright = grid.columns.linesIn.map((/** @type {number} */ x) => [[x, 0], [x, height_in]]);
    const level = grid.rows.linesIn.map((/** @type {number} */ y) => [[0, y], [width_in, y]]);
    const gridFeature = new ol.Feature(new ol.geom.MultiLineString([...upright, ...level]));
    gridFeature.setStyle(this.looks.grid);
    const names = this.plan.labels.map((label) => {
      const [x0, y0, x1, y1] = this.plan.bounds(label);
      const feature = new ol.Feature({ geometry: new ol.geom.Point([x0, y1]), width_in: x1 - x0, label, height_in: y1 - y0 });
      feature.setStyle(gridLabelStyle);
      return feature;
    });
    const shapes = [
      ...openings.map((opening) => ringFeature(opening.polygon, openingStyle(opening.name, this.looks))),
      ...obstructions.map((obstruction) => ringFeature(obstruction.polygon, obstructionStyle(obstruction, this.looks))),
    ];
    return new ol.layer.VectorImage({ source: new ol.source.Vector({ features: [...shapes, gridFeature, ...names] }), imageRatio: 1.5 });
  }
}

/** @param {import('./geometry.js').Point[]} ring @param {any} style */
function ringFeature(ring, style) {
  const feature = new ol.Feature(new ol.geom.Polygon([ring]));
  feature.setStyle(style);
  return feature;
}

/**
 * Change a source only where outlines changed, so that one edit does not build thousands of features again.
 * @param {any} source
 * @param {Iterable<Outline>} outlines
 * @param {(outline: Outline) => any} featureOf
 */
function syncSource(source, outlines, featureOf) {
  const wanted = new Map([...outlines].map((outline) => [outline.id, outline]));
  const stale = source.getFeatures().filter((/** @type {any} */ feature) => {
    const outline = wanted.get(String(feature.getId()));
    return !outline || outline.entry !== feature.get('entry') || Boolean(outline.pending) !== Boolean(feature.get('pending'));
  });
  if (stale.length > 200) source.removeFeatures(stale);
  else for (const feature of stale) source.removeFeature(feature);
  const fresh = [...wanted.values()].filter((outline) => !source.getFeatureById(outline.id));
  if (fresh.length) source.addFeatures(fresh.map(featureOf));
}

/** @param {any} source @param {number[]} place @param {number} reach_in */
function smallestNear(source, place, reach_in) {
  const box = [place[0] - reach_in, place[1] - reach_in, place[0] + reach_in, place[1] + reach_in];
  let best = null;
  let bestSize = Infinity;
  source.forEachFeatureInExtent(box, (/** @type {any} */ feature) => {
    const geometry = feature.getGeometry();
    const near = geometry.getClosestPoint(place);
    const inside = geometry.intersectsCoordinate(place);
    if (!inside && Math.hypot(near[0] - place[0], near[1] - place[1]) > reach_in) return;
    const size = ol.extent.getArea(geometry.getExtent());
    if (size < bestSize) { best = feature; bestSize = size; }
  });
  return /** @type {any} */ (best);
}
