/**
 * What does the wall look like on the deck? The plate under a lamp: dark ground, the bay framed, the last survey's outlines
 * only when they are wanted, and a quiet mark on what was answered. It fits again when the tablet is turned.
 */
import { Plate } from '../../wall/plate.js';
import { LAMP_LOOKS } from '../../wall/plate_styles.js';
import { bayFrameStyle, cellFrameStyle, deckOutlineStyles, deckPreviousStyles } from './deck_styles.js';
import { rectangleRings } from '../../wall/geometry.js';

/** Stands between an outline's id and the entry of one of its versions. */
export const VERSION_MARK = '#';
const ROOM_PX = [16, 16, 16, 16];

export class DeckPlate extends Plate {
  /** @param {ConstructorParameters<typeof Plate>[0]} options */
  constructor(options) {
    super(options);
    /** @type {Map<string, string>} answers to the last survey's outlines, by object id */
    this.answers = new Map();
    /** Whether something is under the pen, so that the wall must not move by itself. */
    this.holdsStill = false;
    /** @type {number[] | null} what is in view, until somebody moves the wall [in] */
    this.fitted = null;
    this.outlineLayer.setStyle(deckOutlineStyles(options.marks));
    this.previousLayer.setStyle(deckPreviousStyles(options.marks, (id) => this.answers.get(id)));
    this.listen();
  }

  get looks() { return LAMP_LOOKS; }

  get padding_px() { return ROOM_PX; }

  /** The bay's frame, and above it that of the chosen cell. @protected */
  frameLayer() {
    this.bayFeature = new ol.Feature();
    const layer = (/** @type {any} */ feature, /** @type {any} */ style) => new ol.layer.Vector({ source: new ol.source.Vector({ features: [feature] }), style });
    return /** @type {any} */ (new ol.layer.Group({ layers: [layer(this.bayFeature, bayFrameStyle()), layer(this.cellFrame, cellFrameStyle())] }));
  }

  /** @private */
  listen() {
    this.map.on('pointerdrag', () => { this.fitted = null; });
    this.target.addEventListener('wheel', () => { this.fitted = null; }, { passive: true });
    this.map.on('change:size', (/** @type {any} */ event) => this.sizeChanged(event.oldValue));
    // A long touch asks for the browser's menu, which would lie over the wall.
    this.target.addEventListener('contextmenu', (event) => event.preventDefault());
  }

  /** @private @param {number[] | undefined} before */
  sizeChanged(before) {
    const size = this.map.getSize();
    const turned = !before || !size || before[0] !== size[0];
    if (this.fitted && (turned || !this.holdsStill)) this.fit(this.fitted);
    else if (!turned) this.keepTop(before[1] - size[1]);
  }

  /** Where only the controls below grew or shrank, the wall stays where it was under the pen. @private @param {number} lost_px */
  keepTop(lost_px) {
    const view = this.map.getView();
    const [x, y] = view.getCenter() ?? [0, 0];
    view.setCenter([x, y + (lost_px / 2) * this.resolution_in]);
  }

  /** Bring a box of the wall into view, and again when the tablet is turned. @param {number[]} box [in] @param {boolean} [glide] */
  fit(box, glide = false) {
    const size = this.map.getSize();
    // Before the page has laid itself out, there is nothing to fit into.
    if (size && size[0] > 0 && size[1] > 0) super.fit(box, glide);
    this.fitted = [...box];
  }

  /** @param {number} steps */
  zoomBy(steps) {
    this.fitted = null;
    super.zoomBy(steps);
  }

  /** Frame the cells under one lamp setting. @param {string[]} cells */
  showBay(cells) {
    const rings = cells.map((label) => rectangleRings(this.plan.bounds(label)));
    this.bayFeature?.setGeometry(rings.length ? new ol.geom.MultiPolygon(rings) : undefined);
  }

  /** The box of several cells [in]. @param {string[]} cells */
  boxOf(cells) {
    const boxes = cells.map((label) => this.plan.bounds(label));
    return [Math.min(...boxes.map((box) => box[0])), Math.min(...boxes.map((box) => box[1])), Math.max(...boxes.map((box) => box[2])), Math.max(...boxes.map((box) => box[3]))];
  }

  /** Bring a whole bay into view. @param {string[]} cells @param {boolean} [glide] */
  fitCells(cells, glide = false) {
    if (cells.length) this.fit(this.boxOf(cells), glide);
  }

  /**
   * On the deck all is unsent for hours; that is said in the head of the page, not by every outline's line.
   * @param {import('../../wall/statements.js').Outline} outline
   */
  featureOf(outline) {
    return super.featureOf({ ...outline, pending: false });
  }

  /** An outline in conflict is drawn in every version, and each answers for it. @param {number[]} pixel @param {number} tolerance_px */
  outlineAt(pixel, tolerance_px) {
    const found = super.outlineAt(pixel, tolerance_px);
    return found && { ...found, id: found.id.split(VERSION_MARK)[0] };
  }

  /** Mark what was answered about the last survey's outlines. @param {Map<string, string>} answers 'same', 'worse', 'cannot-see' or 'look-closer' by object id */
  showAnswers(answers) {
    this.answers = answers;
    this.previousSource.changed();
  }
}
