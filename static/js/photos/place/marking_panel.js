/**
 * What stands beside the photograph while points are marked: the magnifier, the choice of the place on the wall, the list,
 * what the points say, and placing.
 */
import { answer, button, textField } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';
import { FEWEST_POINTS } from './marking.js';
import { isWarning, residualText, thousandths } from './words.js';

/** @typedef {import('./asking.js').Answer} Answer */
/** @typedef {import('./targets.js').Target & {px: [number, number]}} Further */

export class MarkingPanel {
  /**
   * @param {object} options
   * @param {HTMLElement} options.target
   * @param {import('./marking.js').Marking} options.marking
   * @param {import('./loupe.js').Loupe} options.loupe
   * @param {import('./chooser.js').TargetChooser} options.chooser
   * @param {import('./list.js').PointList} options.list
   * @param {(settings: {px_per_in: number | null}) => void} options.onPlace
   * @param {(further: Further) => void} options.onFurther
   * @param {(lens: {k1: number, k2: number} | null) => void} options.onLens
   */
  constructor({ target, marking, loupe, chooser, list, onPlace, onFurther, onLens }) {
    this.target = target;
    this.marking = marking;
    this.chooser = chooser;
    this.loupe = loupe;
    this.list = list;
    this.onPlace = onPlace;
    this.onFurther = onFurther;
    /** @type {number | null} null: as the server suggests */
    this.px_per_in = null;
    this.hand = make('section', { class: 'place-hand', 'aria-label': 'The point in hand' });
    this.points = make('section', { 'aria-label': 'Marked points' });
    this.said = make('section', { 'aria-label': 'What the points say', 'aria-live': 'polite' });
    const field = this.resolutionField();
    this.resolution = /** @type {HTMLInputElement} */ (field.querySelector('input'));
    this.resolutionHint = /** @type {HTMLElement} */ (field.querySelector('.hint'));
    this.placeRow = make('div');
    this.placing = make('section', { class: 'placing' }, field, this.placeRow);
    this.lens = this.lensFields(onLens);
  }

  /** Put the panel on the page. */
  open() {
    fill(this.target, this.hand, this.said, this.points, this.lens, this.placing);
  }

  /**
   * @param {object} shown
   * @param {Answer | null} shown.answer
   * @param {string} shown.refusal
   * @param {Set<string>} shown.doubted
   * @param {import('./sight.js').Sight | null} shown.sight
   * @param {Further[]} shown.further
   * @param {boolean} shown.isBusy
   */
  show({ answer, refusal, doubted, sight, further, isBusy }) {
    const { marking } = this;
    const { chosen } = marking;
    this.loupe.show();
    if (chosen) {
      this.chooser.show({ mark: chosen, marks: marking.marks, sight });
      const head = make('h2', {}, `Point ${marking.numberOf(chosen.id)}`, chosen.target ? `: ${chosen.target.name}` : ': which place is it?');
      // The magnifier stays in the page, so that a finger dragging in it is never lost.
      if (!this.hand.contains(this.loupe.element)) fill(this.hand, head, this.loupe.element, this.chooser.element);
      else this.hand.firstChild?.replaceWith(head);
    } else fill(this.hand);
    this.list.show(answer, doubted);
    fill(this.points, make('div', { class: 'points-head' }, make('h2', {}, `Marked points: ${marking.marks.length}`), this.steps()), this.list.element);
    fill(this.said, refusal ? make('p', { class: 'message-error', role: 'alert' }, refusal) : null,
      answer?.statements.map((words) => make('p', { class: isWarning(words) ? 'message-warn' : 'message-info' }, words)), answer ? this.figures(answer) : null, further.length ? this.suggestions(further) : null);
    this.showPlacing(answer, isBusy);
  }

  /** @private */
  steps() {
    const { marking } = this;
    return make('div', { class: 'tool-group' }, button('Undo', () => marking.undo(), { disabled: !marking.history.canUndo, title: 'Take the last step back (Ctrl+Z)' }), button('Redo', () => marking.redo(), { disabled: !marking.history.canRedo, title: 'Do it again (Ctrl+Shift+Z)' }));
  }

  /** @private @param {Answer} answer */
  figures({ fit, error_in }) {
    const rows = [['Error of place', fit.checked ? `${thousandths(error_in)}, one standard deviation` : `${thousandths(error_in)}, from a marking error of ${fit.marking_error_px} px alone`], ['Residuals, mean', fit.checked ? residualText(fit.radial_rms_in) : 'four points leave none'], ...(fit.leave_one_out_rms_in ? [['Left out in turn', residualText(fit.leave_one_out_rms_in)]] : [])];
    return make('dl', { class: 'facts' }, rows.flatMap(([name, value]) => [make('dt', {}, name), make('dd', {}, value)]));
  }

  /** @private @param {Further[]} further */
  suggestions(further) {
    return make('div', { class: 'further' }, make('h3', {}, 'Where more points would tell most'), make('div', { class: 'button-row' }, further.map((one) => button(one.name, () => this.onFurther(one), { title: 'Look at this crossing; the next tap marks it' }))));
  }

  /** @private @param {(lens: {k1: number, k2: number} | null) => void} onLens */
  lensFields(onLens) {
    const terms = { k1: 0, k2: 0 };
    const field = (/** @type {'k1' | 'k2'} */ key, /** @type {string} */ hint) => textField({ label: key, value: '', hint, attributes: { inputmode: 'decimal', maxlength: 12 }, onChange: (text) => {
      const value = text.trim() ? Number(text.trim()) : 0;
      if (!Number.isFinite(value)) throw new Error(`${key}: "${text}" is not a number. Leave it empty if the lens is not known.`);
      terms[key] = value;
      onLens(terms.k1 || terms.k2 ? { ...terms } : null);
    } });
    return make('details', { class: 'more' }, make('summary', {}, 'A lens that bends lines'), make('p', { class: 'hint' }, 'Two radial terms from a calibration of this lens, r counted in half diagonals of the picture. Leave both empty if they are not known.'), make('div', { class: 'date-pair' }, field('k1', 'such as -0.012'), field('k2', 'mostly 0')));
  }

  /** Made once: an answer of the server takes nothing away that is being typed. @private */
  resolutionField() {
    const take = (/** @type {string} */ text) => {
      const value = text.trim() ? Number(text.trim()) : null;
      if (value !== null && !(value >= 1 && value <= 1200)) throw new Error(`Resolution: "${text}" is not a number from 1 to 1,200 px/in.`);
      this.px_per_in = value;
    };
    const field = textField({ label: 'Resolution of the rectified copy, px/in', value: '', hint: ' ', attributes: { inputmode: 'decimal', maxlength: 8 }, onChange: take });
    const input = /** @type {HTMLInputElement} */ (field.querySelector('input'));
    // Answered while one types: a message that comes or goes when the field is left moves the button away under the finger.
    input.addEventListener('input', () => answer(input, /** @type {HTMLElement} */ (field.querySelector('.field-error')), take));
    return field;
  }

  /** @private @param {Answer | null} answer @param {boolean} isBusy */
  showPlacing(answer, isBusy) {
    const ready = Boolean(answer) && this.marking.isEnough && !isBusy;
    const missing = FEWEST_POINTS - this.marking.complete.length;
    const why = missing > 0 ? `At least four points place a photograph; ${missing} more ${missing === 1 ? 'is' : 'are'} needed.` : !this.marking.isEnough ? 'One point has no place on the wall. Say it, or take the point out.' : '';
    const suggested = answer ? `Suggested: ${Number(answer.px_per_in.toFixed(2))} px/in, what the photograph itself holds. Empty: as suggested.` : 'Suggested once four points are marked.';
    this.resolutionHint.textContent = suggested;
    const send = () => (this.resolution.hasAttribute('aria-invalid') ? this.resolution.focus() : this.onPlace({ px_per_in: this.px_per_in }));
    const place = button(isBusy ? 'Placing …' : 'Place on the wall', send, { class: 'button-accent', disabled: !ready });
    fill(this.placeRow, why ? make('p', { class: 'hint' }, why) : null, make('div', { class: 'button-row' }, place));
  }
}
