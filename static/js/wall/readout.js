/**
 * How large is it, and where is the pointer? The line under the map, in feet and inches, and the scale bar.
 */
import { formatArea, formatFeetInches } from '../shared/lengths.js';
import { fill, make } from '../shared/dom.js';
import { coveredArea, crossesItself, lines } from './geometry.js';

const SCALE_STEPS_IN = [0.25, 0.5, 1, 2, 3, 6, 12, 24, 60, 120, 240, 600, 1200];
const SCALE_LONGEST_PX = 150;
const CROSSING_CHECKED_UP_TO = 300;

/**
 * @param {object} options
 * @param {HTMLElement} options.target
 * @param {HTMLElement} options.scale
 * @param {import('./plate.js').Plate} options.plate
 * @param {import('./plan.js').WallPlan} options.plan
 * @param {import('./state.js').Store} options.store
 */
export function startReadout({ target, scale, plate, plan, store }) {
  const place = make('span', { class: 'readout-place' });
  const size = make('span', { class: 'readout-size' });
  fill(target, size, place);
  plate.map.on('pointermove', (/** @type {any} */ event) => {
    const [x, y] = event.coordinate;
    const cell = plan.cellAt(x, y);
    place.textContent = cell ? plan.grid.placeText(x, y) : '';
  });
  plate.viewport.addEventListener('pointerleave', () => { place.textContent = ''; });
  plate.map.getView().on(/** @type {any} */ ('change:resolution'), () => showScale(scale, plate.resolution_in));
  showScale(scale, plate.resolution_in);
  store.watch(['draft', 'draftStep'], ({ draft }) => { size.textContent = draft ? draftSize(draft) : ''; });
}

/** @param {import('./draft.js').Draft} draft */
function draftSize(draft) {
  if (draft.isEmpty) return '';
  const { area_sq_in, perimeter_in, length_in, points } = draft.sizes;
  if (draft.kind === 'point') return points === 1 ? '1 point' : `${points} points`;
  if (draft.kind === 'line') return `Length ${formatFeetInches(length_in)}`;
  const shown = draft.geometry ?? draft.sketchGeometry();
  const rings = shown ? lines(shown).filter((line) => line.closed) : [];
  const crossing = rings.some((ring) => ring.points.length <= CROSSING_CHECKED_UP_TO && crossesItself(ring.points));
  if (!crossing) return `Area ${formatArea(area_sq_in)}, perimeter ${formatFeetInches(perimeter_in)}`;
  const covered_sq_in = rings.reduce((sum, ring) => sum + (ring.path[ring.path.length - 1] > 0 ? -1 : 1) * coveredArea(ring.points), 0);
  return `Area about ${formatArea(covered_sq_in)}, as covered: the line crosses itself`;
}

/** Draw the scale bar: a length that one knows, as long as it is on the screen. @param {HTMLElement} target @param {number} perPx_in */
export function showScale(target, perPx_in) {
  const length_in = [...SCALE_STEPS_IN].reverse().find((step) => step / perPx_in <= SCALE_LONGEST_PX) ?? SCALE_STEPS_IN[0];
  target.style.width = `${length_in / perPx_in}px`;
  target.textContent = formatFeetInches(length_in);
}
