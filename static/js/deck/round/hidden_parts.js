/**
 * Where do the hidden parts of a cell lie on the plate? Hatched, with what hides them.
 */
import { hiddenStyle } from '../../wall/plate_styles.js';

/** @param {import('../../wall/plate.js').Plate} plate @param {import('./round_state.js').HiddenPart[]} parts */
export function showHidden(plate, parts) {
  plate.hiddenSource.clear();
  for (const { geometry, cause } of parts) {
    const feature = new ol.Feature(plate.geometryOf(geometry));
    feature.setStyle(hiddenStyle(cause));
    plate.hiddenSource.addFeature(feature);
  }
}
