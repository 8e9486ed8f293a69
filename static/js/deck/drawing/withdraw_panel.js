/**
 * Why is an outline withdrawn? A reason by one tap, or in the person's own words; it stays in the record with the outline.
 */
import { textField } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';

/** Common practice, no source. */
export const REASONS = ['Drawn in the wrong place', 'Taken for another term', 'Drawn twice', 'Dirt or shadow, nothing of the wall'];

export class WithdrawPanel {
  /** @param {{onReason: (reason: string) => void, onLeave: () => void}} options */
  constructor({ onReason, onLeave }) {
    this.onReason = onReason;
    this.onLeave = onLeave;
    this.element = make('div', { class: 'deck-withdraw' });
    this.own = '';
    fill(this.element, make('p', { class: 'hint' }, 'The outline stays in the record, marked withdrawn, with this reason.'),
      REASONS.map((reason) => make('button', { type: 'button', class: 'button', onclick: () => this.onReason(reason) }, reason)),
      textField({ label: 'Another reason', value: '', attributes: { maxlength: 500 }, onChange: (text) => { this.own = text.trim(); } }),
      make('button', { type: 'button', class: 'button', onclick: () => { if (this.own) this.onReason(this.own); } }, 'Withdraw for this reason'));
  }
}
