/**
 * Where exactly are the draft's points? Each as feet and inches counted from a cell's lower left corner, to read, to type
 * and to add, so that an outline can be drawn without a pointer.
 */
import { answer, button, freshId } from '../shared/controls.js';
import { fill, make } from '../shared/dom.js';
import { formatFeetInches, formatFeetInchesPlain, parseLengthIn } from '../shared/lengths.js';
import { lines } from './geometry.js';

/** @typedef {import('./geometry.js').Point} Point */

const SHOWN_AT_MOST = 400;

export class PointsEditor {
  /**
   * @param {object} options
   * @param {HTMLElement} options.target
   * @param {import('./plan.js').WallPlan} options.plan
   * @param {import('./draft.js').Draft} options.draft
   * @param {string} options.cell whose lower left corner the lengths are counted from
   */
  constructor({ target, plan, draft, cell }) {
    this.target = target;
    this.plan = plan;
    this.draft = draft;
    this.cell = cell;
    this.origin = plan.bounds(cell);
    this.shown = '';
    this.body = make('div', {});
    fill(target, make('p', { class: 'hint' }, `Counted from the lower left corner of ${cell}: across to the right, then up. ${formatFeetInches(14.5)} may be typed as 1' 2 1/2", 1-2 1/2 or 14.5.`), this.body, this.adder());
    this.show();
  }

  /** Bring the fields in line with the draft, unless a field is being typed in. */
  show() {
    const parts = this.parts();
    const key = JSON.stringify(parts.map((part) => part.points));
    if (key === this.shown) return;
    this.shown = key;
    const focused = /** @type {HTMLElement | null} */ (this.body.contains(document.activeElement) ? document.activeElement : null);
    const place = focused?.dataset.place;
    fill(this.body, parts.map((part, index) => this.partTable(part, index, parts.length)));
    if (place) /** @type {HTMLElement | null} */ (this.body.querySelector(`[data-place="${place}"]`))?.focus();
  }

  /** @private @returns {{path: number[], points: Point[], closed: boolean}[]} */
  parts() {
    if (this.draft.geometry) return lines(this.draft.geometry);
    return this.draft.sketch.length ? [{ path: [], points: this.draft.sketch, closed: false }] : [];
  }

  /** @private @param {{path: number[], points: Point[], closed: boolean}} part @param {number} index @param {number} count */
  partTable(part, index, count) {
    const hole = part.closed && part.path[part.path.length - 1] > 0;
    const rows = part.points.slice(0, SHOWN_AT_MOST).map((point, place) => this.row(part, index, place, point));
    const more = part.points.length > SHOWN_AT_MOST ? make('p', { class: 'hint' }, `${part.points.length - SHOWN_AT_MOST} further points are not listed; they stay as drawn.`) : null;
    return make('div', {},
      make('table', { class: 'data-table points-table', dataset: { plain: '' } },
        make('caption', { class: count > 1 ? '' : 'visually-hidden' }, hole ? `Hole ${index + 1}` : `Part ${index + 1}`),
        make('thead', {}, make('tr', {}, make('th', { scope: 'col' }, 'Point'), make('th', { scope: 'col' }, 'Across'), make('th', { scope: 'col' }, 'Up'), make('th', { scope: 'col' }, make('span', { class: 'visually-hidden' }, 'Change')))),
        make('tbody', {}, rows)), more);
  }

  /** @private @param {{path: number[], points: Point[], closed: boolean}} part @param {number} index @param {number} place @param {Point} point */
  row(part, index, place, point) {
    const name = `Point ${place + 1}`;
    const field = (/** @type {0 | 1} */ axis) => this.field(`${name}, ${axis ? 'up' : 'across'}`, point[axis] - this.origin[axis], `${index}-${place}-${axis}`, (value_in) => {
      const moved = /** @type {Point} */ ([...point]);
      moved[axis] = this.origin[axis] + value_in;
      this.draft.movePoint(part.path, place, moved);
    });
    const between = () => {
      const next = part.points[(place + 1) % part.points.length];
      this.draft.insertPoint(part.path, place, [(point[0] + next[0]) / 2, (point[1] + next[1]) / 2]);
    };
    const mayInsert = this.draft.kind !== 'point' && part.points.length > 1 && (part.closed || place + 1 < part.points.length);
    return make('tr', {}, make('th', { scope: 'row', class: 'num' }, String(place + 1)), make('td', {}, field(0)), make('td', {}, field(1)),
      make('td', { class: 'points-buttons' },
        mayInsert ? button('+', between, { 'aria-label': `Add a point after ${name.toLowerCase()}`, title: 'Add a point half-way to the next' }) : null,
        this.draft.kind === 'point' ? null : button('×', () => { this.draft.removePoint(part.path, place); }, { 'aria-label': `Take out ${name.toLowerCase()}`, title: 'Take this point out' })));
  }

  /** @private @param {string} label @param {number} value_in @param {string} place @param {(value_in: number) => void} take */
  field(label, value_in, place, take) {
    const id = freshId('point');
    const input = make('input', { type: 'text', class: 'input', id, 'aria-label': label, autocomplete: 'off', dataset: { place } });
    input.value = typedLength(value_in);
    const error = make('p', { class: 'field-error', id: `${id}-error`, hidden: true });
    input.addEventListener('change', () => answer(input, error, (text) => take(parseLengthIn(text, { field: label }))));
    return [input, error];
  }

  /** Two fields that add a point to the line being drawn. @private */
  adder() {
    const across = make('input', { type: 'text', class: 'input', id: freshId('across'), autocomplete: 'off', placeholder: '0\' 6 1/2"' });
    const up = make('input', { type: 'text', class: 'input', id: freshId('up'), autocomplete: 'off', placeholder: '1\' 2"' });
    const error = make('p', { class: 'field-error', id: freshId('add-error'), hidden: true });
    const add = () => answer(across, error, () => {
      const point = /** @type {Point} */ ([this.origin[0] + parseLengthIn(across.value, { field: 'across' }), this.origin[1] + parseLengthIn(up.value, { field: 'up' })]);
      this.draft.addPoint(point);
      across.value = '';
      up.value = '';
      across.focus();
    });
    up.addEventListener('keydown', (event) => { if (event.key === 'Enter') { event.preventDefault(); add(); } });
    this.adderBox = make('div', { class: 'points-adder' },
      make('div', { class: 'field' }, make('label', { for: across.id }, 'Across'), across), make('div', { class: 'field' }, make('label', { for: up.id }, 'Up'), up),
      button('Add point', add), error);
    return this.adderBox;
  }
}

/** A length as it is typed: a fraction where it is a whole number of sixteenths, else decimals fine enough for 1/256 in. @param {number} value_in */
export function typedLength(value_in) {
  if (Number.isInteger(value_in * 16)) return formatFeetInchesPlain(value_in);
  const size_in = Math.abs(value_in);
  const feet = Math.floor(size_in / 12);
  const inches = Number((size_in - 12 * feet).toFixed(4));
  return `${value_in < 0 ? '-' : ''}${feet ? `${feet}' ` : ''}${inches}"`;
}
