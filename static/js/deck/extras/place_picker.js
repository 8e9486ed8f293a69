/**
 * At which place of the wall is something read? One tap on the plate gives place and cell; a mark stands there until it is kept.
 */
import { snapPoint } from '../../wall/geometry.js';

/** @typedef {[number, number]} Place */

export class PlacePicker {
  /** @param {import('../deck.js').Deck} deck @param {() => void} onChange */
  constructor(deck, onChange) {
    this.deck = deck;
    this.onChange = onChange;
    this.cell = '';
    /** @type {Place | null} wall inches */
    this.place = null;
    this.source = new ol.source.Vector();
    this.layer = new ol.layer.Vector({ source: this.source, style: markStyles(), zIndex: 30 });
    this.tapped = (/** @type {any} */ event) => this.tap(event.coordinate);
  }

  /** Listen to taps; begins in the cell of the round. */
  begin() {
    this.take({ cell: this.deck.store.state.cell, place: null });
    this.deck.plate.map.addLayer(this.layer);
    this.deck.plate.map.on('click', this.tapped);
  }

  end() {
    this.deck.plate.map.un('click', this.tapped);
    this.deck.plate.map.removeLayer(this.layer);
  }

  /** The cell stays, the place goes. */
  clear() {
    this.take({ cell: this.cell, place: null });
  }

  /** @param {{cell: string, place: Place | null}} where */
  take({ cell, place }) {
    this.cell = cell;
    this.place = place;
    this.source.clear();
    if (place) this.source.addFeature(new ol.Feature(new ol.geom.Point(place)));
    this.onChange();
  }

  /** @private @param {Place} at wall inches */
  tap(at) {
    const place = /** @type {Place} */ (snapPoint(at));
    const cell = this.deck.plan.cellAt(place[0], place[1]);
    if (cell) this.take({ cell, place });
    else this.deck.say('That lies off the wall. Tap the place on the wall.', 'info');
  }
}

/** A ring with a dark and a light stroke, seen on any picture. */
function markStyles() {
  const ring = (/** @type {string} */ color, /** @type {number} */ width) => new ol.style.Style({ image: new ol.style.Circle({ radius: 14, stroke: new ol.style.Stroke({ color, width }) }) });
  return [ring('#14100C', 6), ring('#F0E7D8', 2.5)];
}
