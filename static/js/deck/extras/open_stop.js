/**
 * What is known of a stop that is open, and on what ground is it lifted?
 */
import { button } from '../../shared/controls.js';
import { make } from '../../shared/dom.js';
import { clockFrom } from './clock.js';
import { liveText, part } from './form_parts.js';
import { LIFTING_RULE } from './stop_body.js';

/** @typedef {import('./stop_body.js').Stop} Stop */

/** @param {Stop} stop @param {number} now_ms */
export function stopFacts({ noticed_at, activity, cells, fragments, photographs = [], told, note }, now_ms) {
  const rows = [
    ['Noticed', clockFrom(noticed_at, now_ms)], ['Seen', activity], ['Cells', cells.join(', ') || 'none named'], ['Fragments', fragments || 'nothing said'],
    ['Photographs', photographs.length ? String(photographs.length) : 'none'], ...(note ? [['Note', note]] : []),
    ...told.map(({ who, number, at, said }) => [`Told ${clockFrom(at, now_ms)}`, [who, number, said].filter(Boolean).join('; ')]),
  ];
  return part('What is logged', make('dl', { class: 'facts' }, rows.flatMap(([name, text]) => [make('dt', {}, name), make('dd', {}, text)])));
}

export class LiftForm {
  /** @param {{onLift: (reason: string) => Promise<boolean>}} options it throws what is wrong with the reason */
  constructor({ onLift }) {
    this.onLift = onLift;
    this.reason = '';
    this.error = make('p', { class: 'field-error', role: 'alert' });
    this.element = part('Lift the stop', make('p', {}, LIFTING_RULE),
      liveText({ label: 'Why it is lifted, and who decides', value: '', tall: true, onInput: (text) => { this.reason = text; }, attributes: { maxlength: 2000 } }),
      this.error, make('div', { class: 'button-row' }, button('Lift this stop', () => void this.lift(), { class: 'button-alarm' })));
  }

  /** @private */
  async lift() {
    try {
      await this.onLift(this.reason);
    } catch (error) {
      this.error.textContent = error instanceof Error ? error.message : String(error);
    }
  }
}
