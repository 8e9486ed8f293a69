/**
 * How does a draft differ to the eye from what stands in the record? Dark on light, with its points shown as handles.
 */
import { lines } from './geometry.js';

const LIGHT = 'rgba(255,252,246,0.95)';
const INK = '#211C17';
const ACCENT = '#9A3B20';

/**
 * @param {import('./marks.js').TermMarks} marks
 * @param {() => import('./draft.js').Draft | null} draftNow
 */
export function draftStyles(marks, draftNow) {
  const ratio = Math.max(1, window.devicePixelRatio || 1);
  const strokes = [
    new ol.style.Style({ stroke: new ol.style.Stroke({ color: LIGHT, width: 5 }) }),
    new ol.style.Style({ stroke: new ol.style.Stroke({ color: ACCENT, width: 2.2 }) }),
  ];
  const handle = new ol.style.Circle({ radius: 5.5, fill: new ol.style.Fill({ color: LIGHT }), stroke: new ol.style.Stroke({ color: INK, width: 1.8 }) });
  const smallHandle = new ol.style.Circle({ radius: 3, fill: new ol.style.Fill({ color: LIGHT }), stroke: new ol.style.Stroke({ color: INK, width: 1.2 }) });
  const firstHandle = new ol.style.Circle({ radius: 9, fill: new ol.style.Fill({ color: 'rgba(255,252,246,0.7)' }), stroke: new ol.style.Stroke({ color: ACCENT, width: 2.4 }) });
  return (/** @type {any} */ feature) => {
    const geometry = feature.getGeometry();
    const draft = draftNow();
    if (!geometry || !draft) return undefined;
    const plain = { type: geometry.getType(), coordinates: geometry.getCoordinates() };
    if (plain.type === 'Point' || plain.type === 'MultiPoint') return new ol.style.Style({ image: handle });
    const styles = [...strokes];
    const code = draft.stated.term;
    if (plain.type.endsWith('Polygon') && code) styles.unshift(new ol.style.Style({ fill: new ol.style.Fill({ color: marks.hatch(code, ratio) ?? 'rgba(0,0,0,0)' }) }));
    const points = lines(plain).flatMap((line) => line.points);
    // While an edge, a hole or a part is added, no finished point can be taken hold of.
    const canBeHeld = !(draft.adding && plain.type.endsWith('Polygon'));
    if (canBeHeld && points.length <= 400) styles.push(new ol.style.Style({ image: points.length > 24 ? smallHandle : handle, geometry: new ol.geom.MultiPoint(points) }));
    if (draft.sketch.length > 2 && draft.kind === 'area' && plain.type === 'LineString' && String(points[0]) === String(draft.sketch[0])) {
      styles.push(new ol.style.Style({ image: firstHandle, geometry: new ol.geom.Point(points[0]) }));
    }
    return styles;
  };
}
