/**
 * Which points are marked, where, and how far does each lie from where the others put it? The list with fields to type in,
 * so that everything on the photograph can be done here too.
 */
import { button } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';
import { shortResidual, thousandths } from './words.js';
import { placeText } from './targets.js';

/** @typedef {import('./marking.js').Marking} Marking */
/** @typedef {import('./asking.js').Answer} Answer */

export class PointList {
  /**
   * @param {object} options
   * @param {Marking} options.marking
   * @param {(message: string) => void} options.say
   */
  constructor({ marking, say }) {
    this.marking = marking;
    this.say = say;
    this.element = make('div', {});
  }

  /** @param {Answer | null} answer @param {Set<string>} doubted */
  show(answer, doubted) {
    const { marks } = this.marking;
    if (!marks.length) {
      fill(this.element, make('p', { class: 'empty' }, 'The marked points will stand here, each with its residual. Tap the photograph, or press N on it, to mark the first.'));
      return;
    }
    const heads = [['Point', ''], ['px across', 'num'], ['px down', 'num'], ['Residual', 'num'], ['', '']];
    fill(this.element, make('table', { class: 'data-table place-table' },
      make('caption', { class: 'visually-hidden' }, 'Marked points'),
      make('thead', {}, make('tr', {}, heads.map(([text, kind]) => make('th', { scope: 'col', class: kind }, text || make('span', { class: 'visually-hidden' }, 'Take out'))))),
      make('tbody', {}, marks.map((mark) => this.row(mark, answer, doubted)))));
  }

  /** @private @param {import('./marking.js').Mark} mark @param {Answer | null} answer @param {Set<string>} doubted */
  row(mark, answer, doubted) {
    const { marking } = this;
    const { id, target } = mark;
    const number = marking.numberOf(id);
    const said = answer?.points.find(({ name }) => name === target?.name);
    const isDoubted = Boolean(target && doubted.has(target.name));
    const name = make('button', { type: 'button', class: 'link-button', 'aria-pressed': String(marking.state.chosen === id), onclick: () => marking.choose(id) }, `${number}. ${target ? target.name : 'place not said'}`, target ? make('small', {}, placeText(target.wall_in)) : null);
    return make('tr', { class: `${marking.state.chosen === id ? 'is-chosen' : ''}${isDoubted ? ' is-doubted' : ''}` },
      make('th', { scope: 'row' }, name), make('td', {}, this.field(mark, 0, `Point ${number}, pixels across`)), make('td', {}, this.field(mark, 1, `Point ${number}, pixels down`)),
      make('td', { class: 'num' }, this.residual(said, isDoubted, Boolean(answer?.fit.checked))), make('td', {}, button('×', () => marking.remove(id), { class: 'place-remove', 'aria-label': `Take point ${number} out`, title: `Take point ${number} out` })));
  }

  /** @private @param {Answer['points'][number] | undefined} said @param {boolean} isDoubted @param {boolean} isChecked */
  residual(said, isDoubted, isChecked) {
    if (!said) return '–';
    if (!isChecked) return make('small', {}, 'not checked');
    const others = said.leave_one_out_in;
    return [isDoubted ? make('strong', { class: 'place-doubt' }, 'disagrees') : null, ...residualLines(Math.hypot(...said.residual_in)), others === null ? null : make('small', { title: 'How far the other points put it from its place' }, `by others ${shortResidual(others)}`)];
  }

  /** @private @param {import('./marking.js').Mark} mark @param {0 | 1} axis @param {string} name */
  field({ id, px }, axis, name) {
    const input = make('input', { class: 'input', type: 'text', inputmode: 'decimal', autocomplete: 'off', 'aria-label': name, onchange: () => this.take(id, px, axis, input, name) });
    input.value = px[axis].toFixed(2);
    return input;
  }

  /** @private @param {number} id @param {[number, number]} px @param {0 | 1} axis @param {HTMLInputElement} input @param {string} name */
  take(id, px, axis, input, name) {
    const value = Number(input.value.trim());
    const most = axis ? this.marking.size.height_px : this.marking.size.width_px;
    if (!input.value.trim() || !Number.isFinite(value) || value < 0 || value > most) {
      this.say(`${name}: "${input.value}" is not a number from 0 to ${most}. The point stays where it was.`);
      input.value = px[axis].toFixed(2);
      return;
    }
    this.marking.move(id, axis ? [px[0], value] : [value, px[1]]);
  }
}

/** @param {number} length_in in feet and inches where it is long, and always in thousandths */
function residualLines(length_in) {
  const short = shortResidual(length_in);
  return short === thousandths(length_in) ? [short] : [short, make('small', {}, thousandths(length_in))];
}
