/**
 * Which cells come next, and under which lamp? The lift with the state of every cell, its bays, and what is looked over
 * before anything is judged.
 */
import { button, choiceRow } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';
import { capital, inMode, modeName } from '../../wall/words.js';
import { currentSession } from '../session.js';
import { baysOf, bayOf, CELL_STATES, countsText, isSettled, liftsOf, nextCell, suggestedBay } from './lift.js';
import { liftStrip } from './lift_strip.js';
import { lampChoices, lookOverText, lookedSentence } from './lamps.js';
import { knownNames, peopleFields } from './people.js';
import { roundOf } from './round.js';
import { changePeople, stateBay } from './session_acts.js';

/** @typedef {import('./lift.js').Bay} Bay */

export class WalkScreen {
  static title = 'Walk';
  static full = true;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.round = roundOf(deck);
    this.lifts = liftsOf(deck.plan).map((lift) => ({ ...lift, bays: baysOf(deck.plan, lift, this.round.due) }));
    this.resumed = false;
    this.element = make('section', { class: 'deck-screen is-full', 'aria-label': WalkScreen.title });
  }

  async enter() {
    this.deck.controls.show({});
    if (!currentSession(this.deck)) return this.deck.go('open');
    const kept = this.resumed ? null : this.round.state.screen;
    this.resumed = true;
    if (kept && kept !== 'walk') return this.deck.go(kept);
    this.choose(this.bayOfState() ?? this.suggested() ?? this.lifts[0].bays[0]);
    void this.round.change({ ...this.round.state, screen: 'walk' });
    this.show();
  }

  leave() {}

  /** @private @param {string} label */
  stateOf(label) {
    return this.round.stateOf(label);
  }

  /** The bay in use, while it holds cells that are not settled. @private @returns {Bay | null} */
  bayOfState() {
    const { bay } = this.round.state;
    return bay.some((label) => !isSettled(this.stateOf(label))) ? bayOf(this.deck.plan, this.deck.plan.deckOf(bay[0]), bay, this.round.due) : null;
  }

  /** @private @returns {Bay | null} */
  suggested() {
    return suggestedBay(this.lifts.flatMap(({ bays }) => bays), (label) => this.stateOf(label), this.round.due);
  }

  /** @private @param {Bay} bay */
  choose(bay) {
    this.bay = bay;
    this.chosen = new Set(bay.cells);
  }

  /** @private */
  show() {
    const bay = /** @type {Bay} */ (this.bay);
    const lift = this.lifts.find(({ deck }) => deck === bay.deck) ?? this.lifts[0];
    fill(this.element, make('h2', {}, 'Which bay next?'), this.standing(), this.sameBay(), this.choices(lift), this.lookedOver(), this.starting(bay), this.strip(lift), this.bayCells(bay), this.onward(), this.people());
  }

  /** What is due and done on the whole wall in this light. @private */
  standing() {
    const due = this.deck.plan.labels.filter((/** @type {string} */ label) => this.round.isDue(label));
    const waiting = due.filter((/** @type {string} */ label) => !isSettled(this.stateOf(label)));
    if (!due.length) return make('p', {}, `Nothing is due ${inMode(this.round.mode)} in this survey. Any bay can still be walked.`);
    if (!waiting.length) return make('p', {}, `All ${due.length} cells due are settled ${inMode(this.round.mode)}. Change the light, or sign and close the session.`);
    return make('p', {}, `${waiting.length} of ${due.length} cells due are open ${inMode(this.round.mode)}.`);
  }

  /** A bay that is finished in this light can be gone over in another one, while one stands before it. @private */
  sameBay() {
    const { bay, mode } = this.round.state;
    if (!bay.length || bay.some((label) => !isSettled(this.stateOf(label)))) return null;
    const others = this.deck.record.survey.modes.filter((/** @type {string} */ one) => one !== mode && bay.some((label) => !isSettled(this.round.stateOf(label, one))));
    const { name } = bayOf(this.deck.plan, null, bay, this.round.due);
    return make('div', { class: 'button-row round-start' }, make('p', {}, `Bay ${name} is settled ${inMode(mode)}.`),
      others.map((/** @type {string} */ one) => button(`The same bay ${inMode(one)}`, () => void this.takeMode(one), { dataset: { again: one } })));
  }

  /** @private @param {{deck: string | null}} lift */
  choices(lift) {
    const modes = this.deck.record.survey.modes.map((/** @type {string} */ mode) => ({ value: mode, text: capital(modeName(mode)) }));
    const decks = this.lifts.map(({ deck }) => ({ value: deck ?? '', text: deck ? `Deck ${deck}` : 'From the floor' }));
    const row = choiceRow({ label: 'Light or method', choices: modes, value: this.round.mode, required: true, onChange: (mode) => void this.takeMode(mode ?? this.round.mode) });
    row.dataset.choice = 'mode';
    const levels = choiceRow({ label: 'Lift', choices: decks, value: lift.deck ?? '', required: true, onChange: (deck) => {
      const chosen = this.lifts.find((one) => (one.deck ?? '') === deck) ?? this.lifts[0];
      this.choose(suggestedBay(chosen.bays, (label) => this.stateOf(label), this.round.due) ?? chosen.bays[0]);
      this.show();
    } });
    levels.dataset.choice = 'lift';
    return make('div', { class: 'round-choices' }, row, this.lifts.length > 1 ? levels : null, this.lamps());
  }

  /** @private @param {string} mode */
  async takeMode(mode) {
    await this.round.change({ ...this.round.state, mode, lamp: { setting: '', side: 'even', lookedOver: [] } });
    this.choose(this.bayOfState() ?? this.suggested() ?? /** @type {Bay} */ (this.bay));
    this.show();
  }

  /** @private @param {typeof this.lifts[number]} lift */
  strip(lift) {
    const suggested = this.suggested();
    const bays = lift.bays.map((bay) => make('button', { type: 'button', class: 'button round-bay', 'aria-pressed': String(sameCells(bay.cells, this.bay?.cells ?? [])), dataset: { bay: bay.cells.join(' ') }, onclick: () => {
      this.choose(bay);
      this.show();
    } }, make('span', {}, bay.name), make('small', {}, `${suggested && sameCells(bay.cells, suggested.cells) ? 'next: ' : ''}${countsText(bay.cells, (label) => this.stateOf(label))}`)));
    return make('section', { class: 'round-part' }, make('h3', {}, `Bays of ${lift.deck ? `deck ${lift.deck}` : 'the lift'}`),
      liftStrip({ plan: this.deck.plan, cells: lift.cells, bay: [...(this.chosen ?? [])], stateOf: (label) => this.stateOf(label) }), make('div', { class: 'round-bays' }, bays));
  }

  /** The bay's cells as they stand before the walker; a tap leaves one out or takes it in. @private @param {Bay} bay */
  bayCells(bay) {
    const { plan } = this.deck;
    const rows = new Map(plan.labels.filter((/** @type {string} */ label) => bay.cells.includes(label)).map((/** @type {string} */ label) => [plan.grid.position(label)[1], /** @type {string[]} */ ([])]));
    for (const label of plan.labels) if (bay.cells.includes(label)) rows.get(plan.grid.position(label)[1])?.push(label);
    const cell = (/** @type {string} */ label) => {
      const { word, mark } = CELL_STATES[this.stateOf(label)];
      return make('button', { type: 'button', class: 'button round-cell', dataset: { cell: label }, 'aria-pressed': String(this.chosen?.has(label)), onclick: () => {
        if (!this.chosen?.delete(label)) this.chosen?.add(label);
        this.show();
      } }, make('span', {}, label), make('small', {}, `${mark} ${word}`));
    };
    return make('section', { class: 'round-part' }, make('h3', {}, `Bay ${bay.name}`), make('p', { class: 'hint' }, 'Framed cells are walked; a tap leaves a cell out.'),
      [...rows.values()].map((labels) => make('div', { class: 'round-row' }, labels.map(cell))));
  }

  /** @private */
  lamps() {
    const { mode, lamp } = this.round.state;
    const choices = lampChoices(mode);
    const chosen = choices.find(({ setting }) => setting === lamp.setting) ?? choices[0];
    const row = choiceRow({ label: 'Lamp for this bay', choices: choices.map(({ setting, text }) => ({ value: setting, text })), value: chosen.setting, required: true, onChange: (setting) => {
      const { side } = /** @type {typeof chosen} */ (choices.find((one) => one.setting === setting));
      void this.round.change({ ...this.round.state, lamp: { ...this.round.state.lamp, setting: setting ?? '', side } }).then(() => this.show());
    } });
    row.dataset.choice = 'lamp';
    return row;
  }

  /** What is looked over with the whole bay in view before a cell is judged. @private */
  lookedOver() {
    const { mode, lamp } = this.round.state;
    const looks = lookOverText(mode, lamp.setting || lampChoices(mode)[0].setting).map(({ key, text }) => make('button', { type: 'button', class: 'button', dataset: { look: key }, 'aria-pressed': String(lamp.lookedOver.includes(key)), onclick: () => {
      const lookedOver = lamp.lookedOver.includes(key) ? lamp.lookedOver.filter((one) => one !== key) : [...lamp.lookedOver, key];
      void this.round.change({ ...this.round.state, lamp: { ...this.round.state.lamp, lookedOver } }).then(() => this.show());
    } }, text));
    return make('section', { class: 'round-part' }, make('p', { class: 'label' }, 'Looked over first, before any cell is judged'), make('div', { class: 'round-leaving' }, looks));
  }

  /** @private @param {Bay} bay */
  starting(bay) {
    const first = this.firstCell();
    const walked = bay.cells.filter((label) => this.chosen?.has(label));
    const text = walked.length ? `Bay ${bay.name}, ${inMode(this.round.mode)}: ${countsText(walked, (label) => this.stateOf(label))}.` : 'Every cell of the bay is left out.';
    return make('div', { class: 'button-row round-start' }, button(first ? `Start at ${first}` : 'No cell to start at', () => void this.start(), { id: 'start-bay', class: 'button-accent round-large', disabled: !first }), make('p', {}, text));
  }

  /** @private */
  onward() {
    return make('div', { class: 'button-row' }, button('Look again, then sign', () => void this.deck.go('recheck'), { id: 'to-recheck' }), button('Take a reading', () => void this.deck.go('reading')), button('Log a fragment', () => void this.deck.go('fragment')));
  }

  /** @private @returns {string | null} */
  firstCell() {
    const cells = (this.bay?.cells ?? []).filter((label) => this.chosen?.has(label));
    return nextCell(cells, null, (label) => this.stateOf(label)) ?? cells[0] ?? null;
  }

  /** @private */
  async start() {
    const first = this.firstCell();
    if (!first || !this.bay) return;
    const { mode, lamp } = this.round.state;
    const setting = lampChoices(mode).find((one) => one.setting === lamp.setting) ?? lampChoices(mode)[0];
    const cells = this.bay.cells.filter((label) => this.chosen?.has(label));
    await this.round.change({ ...this.round.state, bay: cells, lamp: { setting: setting.setting, side: setting.side, lookedOver: [] } });
    const looked = lookedSentence({ bay: this.bay.name, mode, setting: setting.setting, done: lamp.lookedOver });
    if (!(await stateBay(this.deck, { cells, mode, deckName: this.bay.deck, lamp: setting, looked }))) return;
    await this.round.goTo(first);
    await this.deck.go('cell');
  }

  /** @private */
  people() {
    if (knownNames(this.deck).length === 0) return null;
    return make('details', { class: 'more' }, make('summary', {}, 'Other people'), peopleFields({ deck: this.deck, people: this.deck.record.author, onChange: (people) => void changePeople(this.deck, people) }));
  }
}

/** @param {string[]} one @param {string[]} other */
function sameCells(one, other) {
  return one.length === other.length && one.every((label) => other.includes(label));
}
