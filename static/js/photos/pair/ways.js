/**
 * How are the two pictures told apart? Three ways: a sliding edge, turns, and their difference; each with its own controls
 * under the map, all reached by pointer, touch and keyboard.
 */
import { button, choiceRow, freshId } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';
import { Turns } from './turns.js';

/** @typedef {import('./view.js').Way} Way */

const EDGE_STEP = 0.05;
const BY_THEMSELVES = [{ value: 0, text: 'By hand' }, { value: 3000, text: 'Every 3 s' }, { value: 1000, text: 'Every second' }];

export class Ways {
  /**
   * @param {object} options
   * @param {import('./view.js').PairView} options.view
   * @param {{tools: HTMLElement, below: HTMLElement, edge: HTMLElement, names: {before: HTMLElement, after: HTMLElement}}} options.parts
   * @param {{before: string, after: string}} options.words
   * @param {boolean} options.hasDifference
   * @param {boolean} options.isCalm whether the person asked for less motion
   * @param {boolean} options.hasHints
   */
  constructor({ view, parts, words, hasDifference, isCalm, hasHints }) {
    this.view = view;
    this.parts = parts;
    this.words = words;
    this.isCalm = isCalm;
    this.turns = new Turns({ onShow: () => this.showTurn() });
    this.slider = /** @type {HTMLInputElement} */ (make('input', { type: 'range', class: 'pair-slider', id: freshId('edge'), min: 0, max: 100, step: 1, value: 50, oninput: () => this.moveEdge(Number(this.slider.value) / 100) }));
    this.changer = button('', () => this.turns.change(), { class: 'pair-changer' });
    const choices = [{ value: 'edge', text: 'Sliding edge' }, { value: 'turns', text: 'Taking turns' }, hasDifference ? { value: 'difference', text: 'Difference' } : { value: 'beside', text: 'Side by side' }];
    // Pictures that could not be laid on each other stand side by side at first.
    const first = hasDifference ? 'edge' : 'beside';
    const outlines = make('button', { type: 'button', class: 'button', 'aria-pressed': 'true', onclick: () => {
      const isShown = outlines.getAttribute('aria-pressed') !== 'true';
      outlines.setAttribute('aria-pressed', String(isShown));
      view.showOutlines(isShown);
    } }, 'Hints drawn');
    fill(parts.tools, choiceRow({ label: 'Show by', quiet: true, choices, value: first, required: true, onChange: (way) => this.choose(/** @type {Way} */ (way)) }), hasHints ? outlines : null);
    this.holdEdge();
    this.choose(first);
  }

  /** @param {KeyboardEvent} event of the map */
  key(event) {
    if (event.key === 'x' || event.key === 'X') {
      if (this.view.way === 'turns') this.turns.change();
      else if (this.view.way === 'edge') this.moveEdge(this.view.edge < 0.5 ? 1 : 0);
      return;
    }
    if (this.view.way !== 'edge' || !['[', ']'].includes(event.key)) return;
    event.preventDefault();
    this.moveEdge(this.view.edge + (event.key === ']' ? EDGE_STEP : -EDGE_STEP));
  }

  /** @private @param {Way} way */
  choose(way) {
    this.turns.byThemselves(0);
    this.turns.release();
    this.parts.edge.hidden = way !== 'edge';
    fill(this.parts.below, this.controls(way));
    this.view.shown = this.turns.shown;
    this.view.showWay(way);
    this.showNames();
    if (way === 'edge') this.moveEdge(this.view.edge);
    if (way === 'turns') this.showTurn();
  }

  /** @private @param {Way} way */
  controls(way) {
    if (way === 'edge') return [make('label', { for: this.slider.id }, 'Edge'), this.slider];
    if (way === 'beside') return [make('p', {}, 'Before at the left, after at the right, at one scale; both move together.')];
    if (way === 'difference') {
      return [make('span', { class: 'pair-shades', 'aria-hidden': 'true' }), make('p', {}, 'White: no difference in one light. Black: colour differs by 25 or more (CIEDE2000). An even middle grey: not seen in both.')];
    }
    const hold = button('Hold to see the other', () => {}, { class: 'pair-hold' });
    hold.addEventListener('pointerdown', (event) => { hold.setPointerCapture(event.pointerId); this.turns.hold(); });
    for (const end of ['pointerup', 'pointercancel', 'lostpointercapture']) hold.addEventListener(end, () => this.turns.release());
    hold.addEventListener('keydown', (event) => { if (event.key === ' ' || event.key === 'Enter') { event.preventDefault(); this.turns.hold(); } });
    for (const end of ['keyup', 'blur']) hold.addEventListener(end, () => this.turns.release());
    hold.addEventListener('contextmenu', (event) => event.preventDefault());
    const itself = this.isCalm ? make('p', { class: 'hint' }, 'By hand only: this machine asks for less motion.')
      : choiceRow({ label: 'How they take turns', quiet: true, choices: BY_THEMSELVES, value: 0, required: true, onChange: (each_ms) => this.turns.byThemselves(each_ms ?? 0) });
    return [this.changer, hold, itself];
  }

  /** @private */
  showTurn() {
    this.view.showOne(this.turns.shown);
    this.changer.textContent = this.turns.shown === 'before' ? 'Change to after' : 'Change to before';
    this.showNames();
  }

  /** @private */
  showNames() {
    const { before, after } = this.parts.names;
    const { way, shown } = this.view;
    before.hidden = way === 'turns' && shown === 'after';
    after.hidden = way === 'difference' || (way === 'turns' && shown === 'before');
    fill(before, way === 'difference' ? [make('strong', {}, 'Difference'), 'of before and after, evened in light'] : [make('strong', {}, 'Before'), this.words.before]);
    fill(after, make('strong', {}, 'After'), this.words.after);
    after.classList.toggle('is-alone', way === 'turns');
  }

  /** @private @param {number} share */
  moveEdge(share) {
    this.view.showEdge(share);
    const { edge } = this.view;
    this.slider.value = String(Math.round(edge * 100));
    this.slider.setAttribute('aria-valuetext', `${Math.round(edge * 100)} % before, ${Math.round((1 - edge) * 100)} % after`);
    this.parts.edge.style.left = `${edge * 100}%`;
  }

  /** Let the edge be dragged on the map itself. @private */
  holdEdge() {
    const { edge } = this.parts;
    const frame = /** @type {HTMLElement} */ (edge.parentElement);
    const move = (/** @type {PointerEvent} */ event) => {
      if (!edge.hasPointerCapture(event.pointerId)) return;
      const box = frame.getBoundingClientRect();
      this.moveEdge((event.clientX - box.left) / box.width);
    };
    edge.addEventListener('pointerdown', (event) => { event.preventDefault(); edge.setPointerCapture(event.pointerId); });
    edge.addEventListener('pointermove', move);
  }
}
