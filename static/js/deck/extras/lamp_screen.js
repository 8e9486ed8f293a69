/**
 * Which lamp is on, from which side, how bright, and for how long? Minutes with a lamp on are kept in the session.
 */
import { button, choiceRow } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';
import { lampChoices } from '../round/lamps.js';
import { changeSession, currentSession } from '../session.js';
import { lampCautions } from './cautions.js';
import { clock } from './clock.js';
import { cautionList, liveText, part } from './form_parts.js';
import { LAMP_SIDES, burning, measured, minutesOn, minutesSoFar, switchedOff, switchedOn, troubleWithLamp } from './lamp_words.js';
import { noteHead } from './note_tabs.js';
import { PadView } from './pad_view.js';

const MOST_SETTINGS = 8;

export class LampScreen {
  static title = 'Lamp';
  static full = true;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.element = make('section', { class: 'deck-screen is-full lamp-screen', 'aria-label': LampScreen.title });
    this.pad = new PadView({ label: 'Light on the wall' });
    this.error = make('p', { class: 'field-error', role: 'alert' });
    this.stated = { setting: '', side: 'left', lux_at: '' };
  }

  enter() {
    this.deck.controls.show({});
    this.show();
  }

  leave() {}

  /** @private @returns {any[]} */
  get lamps() {
    return currentSession(this.deck)?.lamps ?? [];
  }

  /** @private */
  show() {
    this.error.textContent = '';
    const head = noteHead(this.deck, { screen: 'lamp', title: 'Lamp' });
    if (!currentSession(this.deck)) {
      return void fill(this.element, head, make('p', { class: 'empty' }, 'Lamp minutes are kept in the session. Open a session first.'), button('Open a session', () => void this.deck.go('open')));
    }
    const lamp = burning(this.lamps);
    const last = this.lamps[this.lamps.length - 1];
    const [usual] = lampsOf(this.deck.store.state.mode);
    this.stated = { setting: last?.setting ?? usual.setting, side: last?.side ?? usual.side, lux_at: lamp?.lux_at ?? this.deck.store.state.cell };
    this.pad.begin({ value: lamp?.lux ?? null, unit: 'lx' });
    fill(this.element, head, this.now(lamp), this.error, cautionList(lampCautions(this.deck.store.state.mode, last?.setting)),
      make('div', { class: 'card-columns' }, make('div', {}, this.settingPart(lamp)), make('div', {}, this.luxPart(lamp))), this.history());
  }

  /** @private @param {any} lamp */
  now(lamp) {
    const now_ms = this.deck.platform.now_ms();
    const words = lamp ? `On for ${minutesOn(lamp, now_ms)} min: ${lamp.setting}, ${sideText(lamp.side)}.` : 'Off.';
    return make('div', { class: `lamp-now${lamp ? ' is-on' : ''}` }, make('p', { role: 'status' }, make('strong', {}, words), ` ${minutesSoFar(this.lamps, now_ms)} min with a lamp on in this session.`),
      lamp ? button('Lamp off', () => void this.change((body) => switchedOff(body.lamps ?? [], this.deck.platform.now_ms())), { class: 'button-accent main-control' })
        : button('Lamp on', () => void this.switchOn(), { class: 'button-accent main-control' }));
  }

  /** @private @param {any} lamp */
  settingPart(lamp) {
    const usual = lampsOf(this.deck.store.state.mode);
    const known = [...new Set([...usual.map(({ setting }) => setting), ...this.lamps.map(({ setting }) => setting)])].slice(0, MOST_SETTINGS);
    const place = make('div', {});
    const show = () => fill(place,
      choiceRow({ label: 'How the lamp stands', quiet: true, value: this.stated.setting, choices: known.map((setting) => ({ value: setting, text: setting })), onChange: (setting) => {
        this.stated = { ...this.stated, setting: setting ?? '', side: usual.find((one) => one.setting === setting)?.side ?? this.stated.side };
        show();
      } }),
      liveText({ label: 'In your words', value: this.stated.setting, onInput: (setting) => { this.stated.setting = setting; }, attributes: { maxlength: 80 } }),
      choiceRow({ label: 'Side', required: true, value: this.stated.side, choices: LAMP_SIDES, onChange: (side) => { this.stated.side = side ?? 'left'; } }));
    show();
    return part(lamp ? 'Change to' : 'Setting', place,
      lamp ? button('Change the lamp', () => void this.switchOn()) : null);
  }

  /** @private @param {any} lamp */
  luxPart(lamp) {
    if (!lamp) return part('Light on the wall', make('p', { class: 'muted' }, 'Can be measured once the lamp is on.'));
    return part('Light on the wall', this.pad.element,
      liveText({ label: 'Measured at', value: this.stated.lux_at, onInput: (text) => { this.stated.lux_at = text; }, attributes: { maxlength: 80 } }),
      make('div', { class: 'button-row' }, button('Keep lux', () => void this.keepLux())));
  }

  /** @private */
  history() {
    if (!this.lamps.length) return null;
    return part('Lamps of this session', make('ul', {}, this.lamps.map(({ setting, side, on_at, off_at, lux, lux_at }) => make('li', {},
      `${clock(on_at)} to ${off_at ? clock(off_at) : 'now'}: ${setting}, ${sideText(side)}${lux === undefined ? '' : `, ${lux} lx${lux_at ? ` at ${lux_at}` : ''}`}`))));
  }

  /** @private */
  async switchOn() {
    this.error.textContent = troubleWithLamp({ setting: this.stated.setting, lux: null });
    if (!this.error.textContent) await this.change((body) => switchedOn(body.lamps ?? [], this.stated, this.deck.platform.now_ms()));
  }

  /** @private */
  async keepLux() {
    const lux = this.pad.value;
    this.error.textContent = lux === null ? 'No number is typed yet. Type the lux on the pad.' : troubleWithLamp({ setting: this.stated.setting, lux });
    if (lux !== null && !this.error.textContent) await this.change((body) => measured(body.lamps ?? [], { lux, lux_at: this.stated.lux_at }));
  }

  /** @private @param {(body: Record<string, any>) => Record<string, any>} change */
  async change(change) {
    if (await this.deck.keep(() => changeSession(this.deck, change))) this.show();
  }
}

/** The usual lamps of a light; daylight is none. @param {string} mode */
function lampsOf(mode) {
  return lampChoices(mode).filter(({ setting }) => setting !== 'daylight');
}

/** @param {string} side */
function sideText(side) {
  return LAMP_SIDES.find(({ value }) => value === side)?.text.toLowerCase() ?? side;
}
