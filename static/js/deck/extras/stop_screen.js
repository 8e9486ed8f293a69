/**
 * What is written down when the work must stop: whom to ring, what was seen and when, and who has been told? A card that is
 * opened and left again is no stop; what was put on it stays on the tablet's disk.
 */
import { button } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';
import { madeAt } from '../core/canonical.js';
import { STOP_CAUTIONS } from './cautions.js';
import { clockFrom, zoneText } from './clock.js';
import { cautionList } from './form_parts.js';
import { KeptForm } from './kept_form.js';
import { LiftForm, stopFacts } from './open_stop.js';
import { freshStop, isFilled, lifted, missingOf, toldSentence, withCall } from './stop_body.js';
import { stopForm } from './stop_form.js';
import { openStops, sayStop, wholeStop } from './stops.js';
import { Telephones } from './telephones.js';

/** @typedef {{id: string, stop: import('./stop_body.js').Stop}} Card */

export class StopScreen {
  static title = 'Stop card';
  static full = true;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.element = make('section', { class: 'deck-screen is-full stop-screen', 'aria-label': StopScreen.title });
    /** @type {KeptForm<Card>} */
    this.kept = new KeptForm({ disk: deck.disk, name: 'stop' });
    /** @type {Card | null} */
    this.card = null;
    /** @type {string | null} id of the open stop that is shown, or null for a new card */
    this.shown = null;
    this.told = make('p', { class: 'told', role: 'status' });
    this.error = make('p', { class: 'field-error', role: 'alert' });
    this.tabs = make('div', { class: 'choice-row stop-tabs' });
  }

  /** @param {{stop?: string | null}} [params] an open stop to show, or null for a new card */
  async enter(params) {
    this.deck.controls.show({});
    this.card = await this.unlogged();
    const open = openStops(this.deck);
    const wanted = params?.stop === undefined && !isFilled(this.card.stop) ? open[0]?.id ?? null : params?.stop ?? null;
    this.show(wanted);
  }

  leave() {}

  /** @private the card on the disk, where it was not logged meanwhile; else an empty one @returns {Promise<Card>} */
  async unlogged() {
    const card = await this.kept.read().catch(() => null);
    if (card && isFilled(card.stop) && !this.deck.record?.stops.has(card.id)) return card;
    return { id: this.deck.platform.uuid7(), stop: freshStop({ at: madeAt(this.deck.platform.now_ms()), cell: this.deck.store.state.cell }) };
  }

  /** @private @returns {import('./stops.js').KnownStop | null} */
  get open() {
    return openStops(this.deck).find(({ id }) => id === this.shown) ?? null;
  }

  /** @private @param {string | null} id */
  show(id) {
    this.shown = id;
    this.shown = this.open?.id ?? null;
    this.error.textContent = '';
    this.showTabs();
    const telephones = new Telephones({
      telephones: this.deck.pack?.boot.telephones ?? [], now_ms: () => this.deck.platform.now_ms(),
      onTold: (call) => this.tell({ ...call, at: madeAt(call.at_ms) }),
    });
    fill(this.element,
      make('div', { class: 'card-head' }, make('h2', {}, this.open ? `Stop, open since ${clockFrom(this.open.noticed_at, this.deck.platform.now_ms())}` : 'Stop card'), button('Leave the card', () => void this.deck.back())),
      cautionList(STOP_CAUTIONS), this.tabs,
      make('div', { class: 'card-columns' },
        make('div', {}, this.told, make('h3', {}, 'Ring'), telephones.element),
        make('div', {}, this.open ? this.openPart(this.open) : this.newPart())),
      this.open ? null : this.logBar());
    this.showTold();
  }

  /** @private */
  showTabs() {
    const open = openStops(this.deck);
    this.tabs.hidden = !open.length;
    const tab = (/** @type {string | null} */ id, /** @type {string} */ text) => button(text, () => this.show(id), { class: 'choice', 'aria-pressed': String(this.shown === id) });
    fill(this.tabs, open.map((stop) => tab(stop.id, `Open since ${clockFrom(stop.noticed_at, this.deck.platform.now_ms())}`)), tab(null, 'Another stop'));
  }

  /** @private */
  newPart() {
    const card = /** @type {Card} */ (this.card);
    return [stopForm({ deck: this.deck, stop: card.stop, onChange: (change) => void this.change(change) }), button('Empty this card', () => void this.empty()), this.timesHint()];
  }

  /** @private stays at the lower edge while the card is scrolled */
  logBar() {
    if (!this.deck.record) return make('div', { class: 'card-bar' }, make('p', { class: 'field-error' }, 'This tablet holds no survey, so no stop can be logged on it. Ring, and write it down.'));
    return make('div', { class: 'card-bar' }, make('div', {}, this.error, make('p', { class: 'hint' }, 'Nothing here is a stop until it is logged; what was put on the card stays on this tablet.')),
      button('Log this stop', () => void this.log(), { class: 'button-accent' }));
  }

  /** @private */
  timesHint() {
    return make('p', { class: 'hint' }, `Times are this tablet's, ${zoneText(this.deck.platform.now_ms())}.`);
  }

  /** @private @param {import('./stops.js').KnownStop} stop */
  openPart(stop) {
    const lift = new LiftForm({ onLift: async (reason) => this.restate({ ...lifted(await wholeStop(this.deck, stop), reason), id: stop.id }, 'Stop lifted.') });
    return [stopFacts(stop, this.deck.platform.now_ms()), lift.element, this.timesHint()];
  }

  /** @private */
  showTold() {
    const stop = this.open ?? /** @type {Card} */ (this.card).stop;
    this.told.classList.toggle('is-nobody', !stop.told.length);
    fill(this.told, toldSentence(stop, this.deck.platform.now_ms()), !this.open && stop.told.length ? ' On the card; log the stop too.' : null);
  }

  /** @private @param {Partial<import('./stop_body.js').Stop>} change */
  async change(change) {
    const card = /** @type {Card} */ (this.card);
    this.card = { ...card, stop: { ...card.stop, ...change } };
    const { card: changed } = this;
    this.error.textContent = '';
    return this.deck.keep(() => this.kept.write(changed));
  }

  /** @private @param {{who: string, number: string, at: string, said: string}} call */
  async tell(call) {
    const open = this.open && await wholeStop(this.deck, this.open);
    if (open) return this.restate({ ...withCall(open, call), id: open.id }, `Logged: ${call.who} told.`);
    const kept = await this.change(withCall(/** @type {Card} */ (this.card).stop, call));
    this.showTold();
    return kept;
  }

  /** @private @param {import('./stops.js').KnownStop} stop @param {string} said */
  async restate(stop, said) {
    const kept = await this.deck.keep(() => sayStop(this.deck, stop));
    if (!kept) return false;
    this.deck.say(`${said} Kept on this tablet; others see it when it is sent.`, 'ok');
    this.deck.places.full.scrollTop = 0;
    this.show(stop.state === 'open' ? stop.id : openStops(this.deck)[0]?.id ?? null);
    return true;
  }

  /** @private what stood on it is no stop and goes */
  async empty() {
    await this.deck.keep(() => this.kept.clear());
    this.card = await this.unlogged();
    this.deck.places.full.scrollTop = 0;
    this.show(null);
  }

  /** @private */
  async log() {
    const { id, stop } = /** @type {Card} */ (this.card);
    const missing = missingOf(stop);
    this.error.textContent = missing;
    if (missing) return;
    if (!await this.restate({ ...stop, id }, stop.told.length ? 'Stop logged.' : 'Stop logged. Nobody has been told yet: ring now.')) return;
    await this.kept.clear().catch(() => {});
    this.card = await this.unlogged();
  }
}
