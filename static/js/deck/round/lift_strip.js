/**
 * How does one lift stand at a glance? A strip drawn to scale, a mark for the state of every cell, the chosen bay framed.
 */
import { makeSvg } from '../../shared/dom.js';
import { CELL_STATES } from './lift.js';

/**
 * @param {object} options
 * @param {import('../../wall/plan.js').WallPlan} options.plan
 * @param {string[]} options.cells of the lift
 * @param {string[]} options.bay cells framed
 * @param {(label: string) => import('./lift.js').CellState} options.stateOf
 */
export function liftStrip({ plan, cells, bay, stateOf }) {
  const boxes = cells.map((label) => ({ label, box: plan.bounds(label) }));
  const [x0, y0, x1, y1] = around(boxes.map(({ box }) => box));
  const [width, height] = [x1 - x0, y1 - y0];
  // Wall inches, y turned down: a point's height is measured from the lift's upper edge.
  const drawn = boxes.map(({ label, box }) => {
    const state = stateOf(label);
    const size = Math.min(box[2] - box[0], box[3] - box[1]);
    return makeSvg('g', { class: `lift-cell is-${state}` },
      makeSvg('rect', { x: box[0] - x0, y: y1 - box[3], width: box[2] - box[0], height: box[3] - box[1] }),
      makeSvg('text', { x: (box[0] + box[2]) / 2 - x0, y: y1 - (box[1] + box[3]) / 2, 'font-size': size * 0.7 }, CELL_STATES[state].mark));
  });
  const chosen = boxes.filter(({ label }) => bay.includes(label)).map(({ box }) => box);
  const frame = chosen.length ? around(chosen) : null;
  const framed = frame && makeSvg('rect', { class: 'lift-chosen', x: frame[0] - x0, y: y1 - frame[3], width: frame[2] - frame[0], height: frame[3] - frame[1] });
  return makeSvg('svg', { class: 'lift-strip', viewBox: `-2 -2 ${width + 4} ${height + 4}`, role: 'img', 'aria-label': stripText(cells, stateOf) }, drawn, framed);
}

/** @param {number[][]} boxes */
function around(boxes) {
  return [Math.min(...boxes.map((box) => box[0])), Math.min(...boxes.map((box) => box[1])), Math.max(...boxes.map((box) => box[2])), Math.max(...boxes.map((box) => box[3]))];
}

/** @param {string[]} cells @param {(label: string) => import('./lift.js').CellState} stateOf */
function stripText(cells, stateOf) {
  const due = cells.filter((label) => stateOf(label) === 'due').length;
  return `The lift from ${cells[0]} to ${cells[cells.length - 1]}: ${cells.length} cells, ${due} due.`;
}
