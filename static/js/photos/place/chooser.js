/**
 * Which place of the wall is the point in hand? The crossings around the photograph's cells to tap on, the one that the
 * other points suggest, or a mark given in feet and inches.
 */
import { button, textField } from '../../shared/controls.js';
import { fill, make, makeSvg } from '../../shared/dom.js';
import { formatFeetInches, formatFeetInchesPlain, parseLengthIn } from '../../shared/lengths.js';
import { crossingsOf, isSamePlace, nearestCrossing, placeText, spanAround } from './targets.js';

/** @typedef {import('./targets.js').Target} Target */

const STEP_X_PX = 76;
const STEP_Y_PX = 60;
const EDGE_PX = 26;

export class TargetChooser {
  /**
   * @param {object} options
   * @param {import('../../shared/grid.js').Grid} options.grid
   * @param {string[]} options.cells the photograph's own
   * @param {(target: Target) => void} options.onTake may throw
   */
  constructor({ grid, cells, onTake }) {
    this.grid = grid;
    this.cells = cells.filter((cell) => grid.find(cell));
    this.around = this.cells;
    this.onTake = onTake;
    this.typing = false;
    /** Whether the choice is open for a point whose place is said. */
    this.isOpen = false;
    /** @type {number | null} the point whose place was said when last shown */
    this.settled = null;
    this.element = make('div', { class: 'chooser' });
  }

  /**
   * @param {object} shown
   * @param {import('./marking.js').Mark} shown.mark in hand
   * @param {import('./marking.js').Mark[]} shown.marks all
   * @param {import('./sight.js').Sight | null} shown.sight from the points so far
   */
  show({ mark, marks, sight }) {
    if (mark.target && this.settled !== mark.id) this.isOpen = false;
    this.settled = mark.target ? mark.id : null;
    const suggested = sight && !mark.target ? nearestCrossing(this.grid, sight.toWall(mark.px), this.cells) : null;
    const free = suggested && !marks.some(({ target }) => target && isSamePlace(target.wall_in, suggested.wall_in)) ? suggested : null;
    fill(this.element,
      free ? button(`Nearest crossing: ${free.name}`, () => this.take(free), { class: 'button-accent chooser-nearest' }) : null,
      mark.target ? this.folded(mark, marks) : this.all(mark, marks), this.error = make('p', { class: 'field-error', role: 'alert' }));
  }

  /** @private @param {import('./marking.js').Mark} mark @param {import('./marking.js').Mark[]} marks */
  all(mark, marks) {
    return [this.around.length ? this.plan(marks, mark) : null, this.cellField(), this.typed(mark)];
  }

  /** A place that is said gives way to the list. @private @param {import('./marking.js').Mark} mark @param {import('./marking.js').Mark[]} marks */
  folded(mark, marks) {
    const details = make('details', { class: 'more', open: this.isOpen }, make('summary', {}, 'Say another place for this point'), this.all(mark, marks));
    details.addEventListener('toggle', () => { this.isOpen = details.open; });
    return [details];
  }

  /** @private @param {import('./marking.js').Mark[]} marks @param {import('./marking.js').Mark} mark */
  plan(marks, mark) {
    const span = /** @type {NonNullable<ReturnType<typeof spanAround>>} */ (spanAround(this.grid, this.around));
    const [columns, rows] = [span.columns[1] - span.columns[0] + 1, span.rows[1] - span.rows[0] + 1];
    const [width, height] = [columns * STEP_X_PX + 2 * EDGE_PX, rows * STEP_Y_PX + 2 * EDGE_PX];
    const cells = [];
    for (let row = 0; row < rows; row += 1) for (let column = 0; column < columns; column += 1) {
      const label = this.grid.label(span.columns[0] + column, span.rows[1] - row);
      const [x, y] = [EDGE_PX + column * STEP_X_PX, EDGE_PX + row * STEP_Y_PX];
      cells.push(makeSvg('rect', { x, y, width: STEP_X_PX, height: STEP_Y_PX, class: this.cells.includes(label) ? 'plan-own' : 'plan-cell' }), makeSvg('text', { x: x + STEP_X_PX / 2, y: y + STEP_Y_PX / 2 + 5, class: 'plan-name' }, label));
    }
    const crossings = crossingsOf(this.grid, span, this.cells).map((target, index) => this.crossing(target, marks, mark, [EDGE_PX + (index % (columns + 1)) * STEP_X_PX, EDGE_PX + Math.floor(index / (columns + 1)) * STEP_Y_PX]));
    const drawn = makeSvg('svg', { width, height, viewBox: `0 0 ${width} ${height}`, 'aria-hidden': 'true' }, ...cells);
    const box = make('div', { class: 'plan', role: 'group', 'aria-label': 'Crossings of the grid around the photograph' }, drawn, crossings);
    box.style.width = `${width}px`;
    box.style.height = `${height}px`;
    return make('div', { class: 'plan-frame' }, box);
  }

  /** @private @param {Target} target @param {import('./marking.js').Mark[]} marks @param {import('./marking.js').Mark} mark @param {[number, number]} at */
  crossing(target, marks, mark, [x, y]) {
    const taken = marks.findIndex((other) => other.target && isSamePlace(other.target.wall_in, target.wall_in));
    const own = taken >= 0 && marks[taken].id === mark.id;
    const said = taken < 0 ? '' : own ? ', this point' : `, marked as point ${taken + 1}`;
    const element = make('button', { type: 'button', class: `plan-crossing${taken >= 0 ? ' is-taken' : ''}`, disabled: taken >= 0 && !own, 'aria-pressed': String(own), title: placeText(target.wall_in), 'aria-label': `${target.name}: ${placeText(target.wall_in)}${said}`, onclick: () => this.take(target) }, taken >= 0 ? String(taken + 1) : '+');
    element.style.left = `${x}px`;
    element.style.top = `${y}px`;
    return element;
  }

  /** @private */
  cellField() {
    const field = textField({
      label: this.around.length ? 'Crossings around cell' : 'The photograph names no cell: show the crossings around', value: this.around.join(', '), attributes: { maxlength: 40, size: 8, spellcheck: 'false' },
      onChange: (text) => {
        const cells = text.split(',').map((part) => part.trim()).filter(Boolean);
        this.around = cells.map((cell) => this.grid.label(...this.grid.position(cell)));
        this.onAround?.();
      },
    });
    field.classList.add('chooser-cell');
    return field;
  }

  /** @private @param {import('./marking.js').Mark} mark */
  typed(mark) {
    const own = mark.target?.kind === 'mark' || mark.target?.kind === 'picture-edge' ? mark.target : null;
    const said = { name: own?.name ?? '', across: own ? formatFeetInchesPlain(own.wall_in[0], { denominator: 256 }) : '', up: own ? formatFeetInchesPlain(own.wall_in[1], { denominator: 256 }) : '' };
    const field = (/** @type {'name' | 'across' | 'up'} */ key, /** @type {string} */ label, /** @type {string} */ hint) => textField({ label, value: said[key], hint, attributes: { maxlength: 60, dataset: { mark: key } }, onChange: (text) => { said[key] = text.trim(); } });
    const details = make('details', { class: 'more', open: this.typing || Boolean(own) }, make('summary', {}, 'Another mark, in feet and inches'),
      field('name', 'Name of the mark', 'Such as: nail head left of the clock.'),
      make('div', { class: 'date-pair' }, field('across', 'Across from the left end', 'Such as 32\' 6 1/2"'), field('up', 'Up from the lower edge', 'Marks off the paint may lie outside it: -3 1/4"')),
      button('Take this mark', () => this.takeTyped(said)));
    details.addEventListener('toggle', () => { this.typing = details.open; });
    return details;
  }

  /** @private @param {{name: string, across: string, up: string}} said */
  takeTyped({ name, across, up }) {
    this.tell(() => {
      const wall_in = /** @type {[number, number]} */ ([parseLengthIn(across, { field: 'Across' }), parseLengthIn(up, { field: 'Up' })]);
      this.onTake({ name: name || `mark at ${formatFeetInches(wall_in[0])} × ${formatFeetInches(wall_in[1])}`, kind: 'mark', wall_in });
      this.typing = false;
    });
  }

  /** @private @param {Target} target */
  take(target) {
    this.tell(() => this.onTake(target));
  }

  /** @private @param {() => void} work */
  tell(work) {
    try {
      work();
    } catch (problem) {
      if (this.error) this.error.textContent = problem instanceof Error ? problem.message : String(problem);
    }
  }

  /** @type {(() => void) | undefined} another cell is to be shown around */
  onAround;
  /** @type {HTMLElement | undefined} */
  error;
}
