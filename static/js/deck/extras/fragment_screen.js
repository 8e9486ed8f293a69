/**
 * Which fragment came away, where did it lie and in which bag is it now?
 */
import { button, choiceRow } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';
import { currentSession } from '../session.js';
import { cameraControl } from './camera.js';
import { DEBRIS_CAUTIONS } from './cautions.js';
import { cellsAround } from './cells_around.js';
import { clock, dayOf } from './clock.js';
import { cautionList, liveText, part } from './form_parts.js';
import { LAYERS, PLACES_BELOW, fragmentBody, suggestedBag, troubleWithFragment } from './fragment_body.js';
import { allOf, keptHere } from './kept_here.js';
import { KeptForm } from './kept_form.js';
import { noteHead } from './note_tabs.js';
import { PadView } from './pad_view.js';

/** @typedef {{bag: string, cell: string, place_below: string, layer: string, suspected_source: string, note: string, photographs: string[], count: number | null, weight_g: number | null}} Stated */

export class FragmentScreen {
  static title = 'Fragment';
  static full = true;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.element = make('section', { class: 'deck-screen is-full fragment-screen', 'aria-label': FragmentScreen.title });
    /** @type {KeptForm<Stated>} */
    this.kept = new KeptForm({ disk: deck.disk, name: 'fragment' });
    /** @type {Stated} */
    this.stated = this.empty('');
    /** @type {string[]} */
    this.taken = [];
    this.error = make('p', { class: 'field-error', role: 'alert' });
    /** @type {'count' | 'weight_g'} what the pad types */
    this.typing = 'count';
    this.pad = new PadView({ label: 'Pieces or weight', onChange: (value) => { this.change({ [this.typing]: value }); this.showAmounts(); } });
    this.amounts = make('div', { class: 'choice-row amounts' });
  }

  async enter() {
    this.deck.controls.show({});
    this.taken = (await allOf(this.deck, 'fragment')).map(({ body }) => body.bag);
    this.stated = await this.kept.read().catch(() => null) ?? this.empty(this.deck.store.state.cell);
    await this.show();
  }

  leave() {}

  /** @private @param {string} cell @returns {Stated} */
  empty(cell) {
    const bag = cell ? suggestedBag({ survey: this.deck.pack?.boot.survey.code ?? '', cell, taken: this.taken ?? [] }) : '';
    return { bag, cell, place_below: '', layer: '', suspected_source: '', note: '', photographs: [], count: null, weight_g: null };
  }

  /** @private @param {Partial<Stated>} change */
  change(change) {
    this.stated = { ...this.stated, ...change };
    const { stated } = this;
    void this.deck.keep(() => this.kept.write(stated));
  }

  /** @private */
  async show() {
    const { stated } = this;
    this.error.textContent = '';
    this.type('count');
    const text = (/** @type {'bag' | 'suspected_source' | 'note'} */ name, /** @type {string} */ label, /** @type {number} */ longest) => liveText({ label, value: stated[name], onInput: (value) => this.change({ [name]: value }), attributes: { maxlength: longest } });
    fill(this.element,
      noteHead(this.deck, { screen: 'fragment', title: 'Fragment' }),
      cautionList(DEBRIS_CAUTIONS),
      make('div', { class: 'card-columns' },
        make('div', {}, part('Photograph before touching', this.photographs()), part('Where it lay', this.cellChoice(), choiceRow({ label: 'On what', value: stated.place_below, choices: choicesOf(PLACES_BELOW), onChange: (place) => this.change({ place_below: place ?? '' }) })),
          part('What it is', choiceRow({ label: 'Layer', value: stated.layer, choices: choicesOf(LAYERS), onChange: (layer) => this.change({ layer: layer ?? '' }) }), text('suspected_source', 'Where it may have come from', 500))),
        make('div', {}, part('Bag', text('bag', 'Label, as it stands on the bag', 40)),
          part('How much', this.amounts, this.pad.element), part('Note', text('note', 'Anything else', 2000)))),
      part('Kept in this session', await this.list()),
      make('div', { class: 'card-bar' }, make('div', {}, this.error, make('p', { class: 'hint' }, 'What was put on this card stays on this tablet until the fragment is kept.')), button('Keep fragment', () => void this.keep(), { class: 'button-accent' })));
  }

  /** @private @param {'count' | 'weight_g'} what */
  type(what) {
    this.typing = what;
    this.pad.begin({ value: this.stated[what], unit: what === 'count' ? 'pieces' : 'g' });
    this.showAmounts();
  }

  /** @private */
  showAmounts() {
    const amount = (/** @type {'count' | 'weight_g'} */ what, /** @type {string} */ name, /** @type {string} */ text) => button(`${name}: ${text}`, () => this.type(what), { class: 'choice', 'aria-pressed': String(this.typing === what) });
    const { count, weight_g } = this.stated;
    fill(this.amounts, amount('count', 'Pieces', count === null ? 'not counted' : String(count)), amount('weight_g', 'Weight', weight_g === null ? 'not weighed' : `${weight_g} g`));
  }

  /** @private */
  photographs() {
    const count = make('p', { role: 'status' });
    const show = () => fill(count, this.stated.photographs.length ? `${this.stated.photographs.length} with this fragment.` : 'None with this fragment yet.');
    show();
    const taken = (/** @type {{digest: string}} */ { digest }) => { this.change({ photographs: [...new Set([...this.stated.photographs, digest])] }); show(); };
    return [cameraControl(this.deck, { label: 'Photograph it', cell: () => this.stated.cell, note: () => `Fragment ${this.stated.bag}.`, onKept: taken }), count];
  }

  /** @private */
  cellChoice() {
    const cells = cellsAround(this.deck.plan, [this.stated.cell], this.deck.store.state.bay);
    return choiceRow({ label: 'Below cell', required: true, value: this.stated.cell, choices: choicesOf(cells), onChange: (cell) => this.moveTo(cell ?? this.stated.cell) });
  }

  /** @private A label that was only suggested follows the cell. @param {string} cell */
  moveTo(cell) {
    const wasSuggested = this.stated.bag === this.empty(this.stated.cell).bag;
    this.change({ cell, ...(wasSuggested ? { bag: this.empty(cell).bag } : {}) });
    const label = /** @type {HTMLInputElement | null} */ (this.element.querySelector('input[maxlength="40"]'));
    if (label) label.value = this.stated.bag;
  }

  /** @private */
  async keep() {
    this.error.textContent = troubleWithFragment({ ...this.stated, taken: this.taken });
    if (this.error.textContent) return;
    const body = fragmentBody({ ...this.stated, found_on: dayOf(this.deck.platform.now_ms()), session: currentSession(this.deck)?.id ?? null });
    if (!await this.deck.keep(() => this.deck.record.say('fragment', body))) return;
    this.deck.say(`Fragment kept: bag ${body.bag}, below ${body.cell}.`, 'ok');
    await this.kept.clear().catch(() => {});
    await this.enter();
    this.deck.places.full.scrollTop = 0;
  }

  /** @private */
  async list() {
    const rows = await keptHere(this.deck, 'fragment');
    if (!rows.length) return make('p', { class: 'muted' }, 'Fragments stand here once one is kept.');
    return make('ul', {}, rows.map(({ body, made_at }) => make('li', {}, `${clock(made_at)} bag ${body.bag}, below ${body.cell}${body.count ? `, ${body.count} ${body.count === 1 ? 'piece' : 'pieces'}` : ''}${body.weight_g ? `, ${body.weight_g} g` : ''}`)));
  }
}

/** @param {string[]} words */
function choicesOf(words) {
  return words.map((word) => ({ value: word, text: word }));
}
