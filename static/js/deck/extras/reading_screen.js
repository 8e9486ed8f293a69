/**
 * What was measured at one place of the wall? The plate stays in view for the place; the number is typed on a pad of its own.
 */
import { button, choiceRow } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';
import { currentSession } from '../session.js';
import { liveText } from './form_parts.js';
import { keptHere } from './kept_here.js';
import { PadView } from './pad_view.js';
import { PlacePicker } from './place_picker.js';
import { OTHER, QUANTITIES, quantityOf, readingBody, readingText, troubleWith } from './quantities.js';

const REMEMBERED = 'readings';
const QUANTITY_CHOICES = [...QUANTITIES, { code: OTHER, name: 'other' }].map(({ code, name }) => ({ value: code, text: name.charAt(0).toUpperCase() + name.slice(1) }));

export class ReadingScreen {
  static title = 'Spot reading';
  static full = false;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.element = make('section', { class: 'deck-screen is-plate reading-screen', 'aria-label': ReadingScreen.title });
    this.pad = new PadView({ label: 'Reading' });
    this.unitPlace = make('div', { class: 'pad-units' });
    this.panel = make('div', { class: 'reading-panel' }, this.unitPlace, this.pad.element);
    this.details = make('div', { class: 'reading-details', hidden: true });
    this.where = make('p', { class: 'reading-where', role: 'status' });
    this.error = make('p', { class: 'field-error', role: 'alert' });
    this.picker = new PlacePicker(deck, () => this.showWhere());
    this.stated = { quantity: 'moisture', unit: '%', instrument: '', what: '', note: '' };
    /** @type {import('../core/rows.js').EntryRow | null} the reading that is corrected */
    this.corrected = null;
  }

  /** @param {{quantity?: string}} [params] */
  async enter(params) {
    const remembered = this.deck.settings.get(REMEMBERED) ?? {};
    this.picker.begin();
    this.corrected = null;
    this.choose(params?.quantity ?? remembered.last ?? 'moisture');
    const quantities = make('div', {}, choiceRow({ label: 'What is read', quiet: true, required: true, value: this.stated.quantity, choices: QUANTITY_CHOICES, onChange: (code) => this.choose(code ?? 'moisture') }));
    this.details.hidden = true;
    const turn = button('Instrument and note', () => {
      quantities.hidden = !quantities.hidden;
      this.details.hidden = !quantities.hidden;
      fill(turn, quantities.hidden ? 'Back to the quantities' : 'Instrument and note');
    });
    fill(this.element, this.error, quantities, make('div', { class: 'reading-row' }, this.where, turn), this.details);
    await this.showControls();
  }

  /** @private */
  async showControls() {
    const [last] = await keptHere(this.deck, 'spot-reading');
    this.deck.controls.show({
      panel: this.panel,
      main: [{ id: 'keep-reading', label: 'Keep reading', kind: 'accent', act: () => void this.keep() }, { id: 'back', label: 'Back', act: () => void this.deck.back() }],
      others: [{ id: 'no-place', label: 'No place', act: () => this.picker.clear() }, { id: 'correct-last', label: 'Correct the last', disabled: !last, act: () => { if (last) this.correct(last); } }],
    });
  }

  leave() {
    this.picker.end();
  }

  /** @private @param {string} code */
  choose(code) {
    const known = this.deck.settings.get(REMEMBERED)?.[code] ?? {};
    const quantity = quantityOf(code);
    this.stated = { quantity: code, unit: known.unit ?? quantity?.units[0].unit ?? '', instrument: known.instrument ?? '', what: known.what ?? '', note: '' };
    this.error.textContent = '';
    this.beginNumber(null);
    this.showDetails();
    this.showWhere();
  }

  /** @private @param {number | null} value */
  beginNumber(value) {
    const quantity = quantityOf(this.stated.quantity);
    const { unit } = this.stated;
    this.pad.begin({ value, unit, signed: !quantity || Boolean(quantity.signed) });
    fill(this.unitPlace, quantity && quantity.units.length > 1
      ? choiceRow({ label: 'Unit', quiet: true, required: true, value: unit, choices: quantity.units.map((one) => ({ value: one.unit, text: one.unit })), onChange: (chosen) => { this.stated.unit = chosen ?? unit; this.beginNumber(this.pad.value); } })
      : null);
  }

  /** @private */
  showDetails() {
    const { stated } = this;
    const text = (/** @type {'instrument' | 'what' | 'unit' | 'note'} */ name, /** @type {string} */ label, /** @type {number} */ longest) => liveText({ label, value: stated[name], onInput: (value) => { stated[name] = value; }, attributes: { maxlength: longest } });
    const other = stated.quantity === OTHER ? [text('what', 'What is measured', 80), text('unit', 'Unit', 20)] : [];
    fill(this.details, ...other, text('instrument', 'Instrument', 120), text('note', 'Note', 500), quantityOf(stated.quantity)?.hint ? make('p', { class: 'hint' }, quantityOf(stated.quantity)?.hint) : null);
  }

  /** @private */
  showWhere() {
    const { cell, place } = this.picker;
    fill(this.where, this.corrected ? make('strong', {}, `Correcting ${readingText(this.corrected.body)}. `) : null,
      make('strong', {}, `Cell ${cell}`), place ? ', place marked on the plate.' : '. Tap the plate where it is read.');
  }

  /** @private */
  async keep() {
    const { cell, place } = this.picker;
    const { value } = this.pad;
    this.error.textContent = troubleWith({ ...this.stated, value });
    this.element.parentElement?.scrollTo(0, 0);
    if (this.error.textContent || value === null) return;
    const body = readingBody({ ...this.stated, value, cell, place, session: currentSession(this.deck)?.id ?? null });
    const { corrected, deck } = this;
    const change = corrected ? { objectId: corrected.object_id, parents: [corrected.id] } : {};
    if (!await deck.keep(() => deck.record.say('spot-reading', body, change))) return;
    deck.say(`Reading kept: ${readingText(body)}.`, 'ok');
    await this.remember();
    this.corrected = null;
    this.beginNumber(null);
    this.picker.clear();
    await this.showControls();
  }

  /** @private The unit and instrument of a quantity are offered again next time. */
  async remember() {
    const { quantity, unit, instrument, what } = this.stated;
    const before = this.deck.settings.get(REMEMBERED) ?? {};
    await this.deck.settings.set(REMEMBERED, { ...before, last: quantity, [quantity]: { unit, instrument, what } }).catch(() => {});
  }

  /** @private @param {import('../core/rows.js').EntryRow} row */
  correct(row) {
    const { body } = row;
    this.choose(body.quantity);
    this.corrected = row;
    Object.assign(this.stated, { unit: body.unit, instrument: body.instrument ?? '', what: body.what ?? '', note: body.note ?? '' });
    this.beginNumber(body.value);
    this.showDetails();
    this.picker.take({ cell: body.cell, place: body.place ?? null });
  }
}
