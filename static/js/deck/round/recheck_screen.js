/**
 * What does a second, blind look find? Two old outlines answered "same", chosen by chance, are asked about once more
 * without the first answer; where the two looks differ, that is said and both stay on record.
 */
import { fill, make } from '../../shared/dom.js';
import { changeSession, currentSession } from '../session.js';
import { AnswerGuard } from './answer_guard.js';
import { ANSWER_WORDS, readAloud } from './items.js';
import { agrees, chooseRechecks, recheckSentence, recheckSummary } from './recheck.js';
import { roundOf } from './round.js';

/** @typedef {import('./recheck.js').Pick} Pick */
/** @typedef {import('./recheck.js').Recheck} Recheck */

/** @type {('same' | 'worse' | 'cannot-see' | 'look-closer')[]} */
const ANSWERS = ['same', 'worse', 'cannot-see', 'look-closer'];

export class RecheckScreen {
  static title = 'Look again';
  static full = false;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.round = roundOf(deck);
    this.guard = new AnswerGuard();
    this.element = make('section', { class: 'deck-screen is-plate round-cell-note', 'aria-label': RecheckScreen.title });
  }

  async enter() {
    if (!currentSession(this.deck)) return this.deck.go('open');
    const { round } = this;
    const recheck = round.state.recheck ?? { picks: chooseRechecks(this.same(), () => this.deck.platform.random()), answers: [] };
    await round.change({ ...round.state, recheck, screen: 'recheck' });
    return this.show();
  }

  leave() {
    const { record, plate, store } = this.deck;
    plate.showOutlines(record.outlines.values());
    plate.showPrevious(store.state.lookStage === 'compare' ? record.openPrevious() : []);
    plate.showChosen(null);
    store.set({ cell: this.round.cell });
  }

  /** What was answered "same" in this session and still stands so. @private @returns {Pick[]} */
  same() {
    const { record } = this.deck;
    const open = new Set(record.openPrevious().map(({ id }) => id));
    return Object.entries(this.round.state.answered).filter(([item, { answer }]) => answer === 'same' && !open.has(item) && record.previous.has(item)).map(([item, { cell }]) => ({ item, cell }));
  }

  /** @private @returns {import('./round_state.js').RecheckWork} */
  get recheck() {
    return /** @type {import('./round_state.js').RecheckWork} */ (this.round.state.recheck);
  }

  /** @private */
  show() {
    const { picks, answers } = this.recheck;
    const pick = picks[answers.length];
    if (pick) this.ask(pick, answers.length + 1, picks.length);
    else this.showResult();
  }

  /** @private @param {Pick} pick @param {number} number @param {number} count */
  ask(pick, number, count) {
    const { record, plate, plan, marks } = this.deck;
    const prior = /** @type {import('../../wall/statements.js').Outline} */ (record.previous.get(pick.item));
    const term = marks.term(prior.term);
    const { title, size, note } = readAloud(prior, term, pick.cell);
    // Neither what was drawn in this survey nor the first answer is shown.
    plate.showOutlines([]);
    plate.showPrevious([prior]);
    plate.showAnswers(new Map());
    this.deck.store.set({ cell: pick.cell });
    plate.fit(plan.bounds(pick.cell));
    plate.showChosen(prior.geometry);
    this.guard.shown();
    fill(this.element, make('p', { class: 'deck-now' }, make('strong', {}, `Look again, ${number} of ${count}: cell ${pick.cell}.`), ' Chosen by chance. Answer as if it were the first time.'),
      make('p', { class: 'round-item' }, marks.swatch(prior.term, 30), make('strong', {}, title), make('span', {}, size)), note ? make('p', { class: 'round-item-note' }, note) : null);
    this.deck.controls.show({ main: ANSWERS.map((answer) => ({ id: answer, label: ANSWER_WORDS[answer], act: () => void this.guard.once(() => this.answer(pick, answer)) })),
      others: [{ id: 'walk', label: 'Walk', act: () => void this.deck.go('walk') }] });
  }

  /** @private @param {Pick} pick @param {typeof ANSWERS[number]} second */
  async answer(pick, second) {
    const first = this.round.state.answered[pick.item]?.answer ?? 'same';
    const answers = [...this.recheck.answers, { ...pick, first, second }];
    if (!(await this.round.change({ ...this.round.state, recheck: { ...this.recheck, answers } }))) return;
    if (answers.length === this.recheck.picks.length) await this.deck.keep(() => changeSession(this.deck, { rechecks: answers }));
    this.show();
  }

  /** @private */
  showResult() {
    const { record, plate } = this.deck;
    const { answers } = this.recheck;
    plate.showOutlines(record.outlines.values());
    plate.showPrevious([]);
    plate.showChosen(null);
    const name = (/** @type {Recheck} */ { item }) => record.previous.get(item)?.item ?? 'The outline';
    fill(this.element, make('p', { class: 'deck-now' }, make('strong', {}, recheckSummary(answers))), answers.map((recheck) => make('p', { class: agrees(recheck) ? 'hint' : 'round-open' }, recheckSentence(recheck, name(recheck)))));
    const apart = answers.find((recheck) => !agrees(recheck) && recheck.second === 'worse');
    const unsure = answers.find((recheck) => !agrees(recheck));
    this.deck.controls.show({
      main: [
        { id: 'to-sign', label: 'Go on to sign', kind: 'accent', act: () => void this.deck.go('sign') },
        ...(apart ? [{ id: 'draw-again', label: `Draw ${name(apart)}`, act: () => void this.lookAgain(apart, true) }] : []),
        ...(unsure ? [{ id: 'look-again', label: `Look at ${name(unsure)}`, act: () => void this.lookAgain(unsure, false) }] : []),
        { id: 'walk', label: 'Walk', act: () => void this.deck.go('walk') },
      ],
      others: this.left().length ? [{ id: 'two-more', label: 'Look at more', act: () => void this.guard.once(() => this.lookAtMore()) }] : [],
    });
  }

  /** What was answered "same" and not looked at again yet. @private @returns {Pick[]} */
  left() {
    const looked = new Set(this.recheck.picks.map(({ item }) => item));
    return this.same().filter(({ item }) => !looked.has(item));
  }

  /** After a further bay two more are chosen. @private */
  async lookAtMore() {
    const picks = [...this.recheck.picks, ...chooseRechecks(this.left(), () => this.deck.platform.random())];
    await this.round.change({ ...this.round.state, recheck: { ...this.recheck, picks } });
    this.show();
  }

  /** @private @param {Recheck} recheck @param {boolean} draws */
  async lookAgain({ item, cell }, draws) {
    const prior = this.deck.record.previous.get(item);
    const own = [...this.deck.record.outlines.values()].find((outline) => outline.continues?.includes(item));
    await this.round.goTo(cell);
    if (draws && prior) await this.deck.go('draw', { grow: prior });
    else await this.deck.go('draw', { choose: own?.id });
  }
}
