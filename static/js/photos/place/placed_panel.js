/**
 * How does the photograph lie on the wall now? What its placement says, the work that draws the copy, and the way back to
 * marking.
 */
import { button } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';
import { formatFeetInches } from '../../shared/lengths.js';
import { dateText } from '../../wall/words.js';
import { isWarning, residualText, thousandths } from './words.js';

export class PlacedPanel {
  /**
   * @param {object} options
   * @param {HTMLElement} options.target
   * @param {() => void} options.onMarkAgain
   * @param {(isShown: boolean) => void} options.onGrid
   * @param {boolean} options.isHistoric nothing is drawn or measured on a historical picture
   */
  constructor({ target, onMarkAgain, onGrid, isHistoric }) {
    this.isHistoric = isHistoric;
    this.target = target;
    this.onMarkAgain = onMarkAgain;
    this.onGrid = onGrid;
    this.isGridShown = true;
  }

  /** @param {{placement: any, copy: any, job: any}} shown */
  show({ placement, copy, job }) {
    const [x0, y0, x1, y1] = placement.bounds_in;
    const facts = [
      ['Resolution', `${Number(placement.px_per_in.toFixed(2))} px/in`], ['Error of place', placement.fit.checked ? `${thousandths(placement.error_in)}, one standard deviation` : `${thousandths(placement.error_in)}, from a marking error of ${placement.fit.marking_error_px} px alone`],
      ['Points', `${placement.points.length}${placement.fit.checked ? '' : '; nothing is checked by them'}`],
      ...(placement.fit.checked ? [['Residuals, mean', residualText(placement.fit.radial_rms_in)]] : []), ...(placement.fit.leave_one_out_rms_in ? [['Left out in turn', residualText(placement.fit.leave_one_out_rms_in)]] : []),
      ['Covers', `${formatFeetInches(x0)} to ${formatFeetInches(x1)} across, ${formatFeetInches(y0)} to ${formatFeetInches(y1)} up`],
      ['Size', copy ? `${copy.width_px.toLocaleString('en-US')} by ${copy.height_px.toLocaleString('en-US')} px` : 'not drawn yet'], ['Placed', `${dateText(placement.placed_at)}, ${placement.placed_by}`],
    ];
    const grid = button('Grid over it', () => {
      this.isGridShown = !this.isGridShown;
      grid.setAttribute('aria-pressed', String(this.isGridShown));
      this.onGrid(this.isGridShown);
    }, { 'aria-pressed': String(this.isGridShown) });
    fill(this.target, make('h2', {}, copy ? 'Placed on the wall' : 'Placed; the copy is being drawn'),
      placement.conflict ? make('p', { class: 'message-error' }, 'Two placements of this photograph stand side by side. Mark it again to settle which holds.') : null,
      copy ? make('p', {}, 'Judge it by the grid: painted edges and projected lines should meet the lines drawn over them.') : this.work(job),
      make('div', { class: 'button-row' }, copy ? grid : null, button('Mark again', () => this.onMarkAgain())),
      make('dl', { class: 'facts' }, facts.flatMap(([name, value]) => [make('dt', {}, name), make('dd', {}, value)])),
      placement.fit.statements.map((/** @type {string} */ words) => make('p', { class: isWarning(words) ? 'message-warn' : 'message-info' }, words)),
      make('p', { class: 'hint' }, this.isHistoric ? 'The error says how surely a place is found on it. No size, length or area is taken from it.' : 'Outlines drawn over this picture state its error; a comparison adds it to the error of the drawing.'));
  }

  /** @private @param {any} job */
  work(job) {
    if (!job) return make('p', { class: 'message-warn' }, 'No work draws the copy. Mark again and place it once more: the same points start it anew.');
    const failed = job.ended && job.label !== 'Done';
    return make('p', { class: failed ? 'message-error' : 'message-info' }, `${job.label}. ${job.message || 'The copy is drawn in the background.'} `, make('a', { href: job.url }, 'Look at the work'));
  }
}
