/**
 * How is a cause asked with one tap, and a note written? Panels for the control column; they keep nothing themselves.
 */
import { button, textField } from '../../shared/controls.js';
import { make } from '../../shared/dom.js';

const LONGEST_CAUSE = 120;
const LONGEST_NOTE = 2000;

/** @param {{causes: string[], onCause: (cause: string) => void}} options */
export function causePanel({ causes, onCause }) {
  let typed = '';
  const take = () => { if (typed) onCause(typed); };
  return make('div', { class: 'round-asking' },
    make('div', { class: 'round-causes' }, causes.map((cause) => make('button', { type: 'button', class: 'button', dataset: { cause }, onclick: () => onCause(cause) }, cause))),
    textField({ label: 'Another cause', value: '', attributes: { maxlength: LONGEST_CAUSE }, onChange: (text) => { typed = text.trim(); } }), button('Take this cause', take));
}

/** @param {{label: string, value: string, onKeep: (note: string) => void}} options */
export function notePanel({ label, value, onKeep }) {
  let note = value;
  return make('div', { class: 'round-asking' },
    textField({ label, value, tall: true, attributes: { maxlength: LONGEST_NOTE, rows: 6 }, onChange: (text) => { note = text.trim(); } }), button('Keep this note', () => onKeep(note), { class: 'button-accent' }));
}
