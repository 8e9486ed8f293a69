/**
 * How is an outline drawn on the deck? The controls around the pen: term and statements, points back and forth, close and
 * put down; an outline of this survey to correct or withdraw when nothing is being drawn.
 */
import { fill, make } from '../../shared/dom.js';
import { boundsOf } from '../../wall/geometry.js';
import { sizeText } from '../../wall/words.js';
import { canBeShaped, draftControls, draftSentence, shapeControls } from './draft_controls.js';
import { draftName } from './pen_work.js';
import { StatementButtons } from './statements.js';
import { TermChooser } from './term_chooser.js';
import { WithdrawPanel } from './withdraw_panel.js';

/** @typedef {import('../../wall/statements.js').Outline} Outline */
/** @typedef {import('../controls.js').Control} Control */
/**
 * What the screen may be entered with; nothing leaves the draft, or the choice of a term.
 * @typedef {{term?: string, grow?: Outline | string, correct?: string, choose?: string, part?: 'hidden' | 'touch', onPart?: import('./pen_work.js').TakePart}} Wish
 */

const TAP_REACH_PX = 24;

export class DrawScreen {
  static title = 'Draw';
  static full = false;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    /** @type {import('./pen_work.js').PenWork} */
    this.pen = deck.pen;
    this.isShown = false;
    /** @type {Wish | null} the wish last entered with */
    this.taken = null;
    this.choosesTerm = false;
    this.withdraws = false;
    /** Whether holes, further parts and points to take out are offered in the place of statements. */
    this.shapes = false;
    this.said = '';
    /** @type {import('./kept_drafts.js').DraftRow[]} */
    this.aside = [];
    this.element = make('section', { class: 'deck-screen is-plate deck-draw-note', 'aria-label': DrawScreen.title });
    this.chooser = new TermChooser({ marks: deck.marks, onTake: (code) => void this.takeTerm(code) });
    this.statements = new StatementButtons({ marks: deck.marks, onChange: () => deck.store.step('draftStep'), onChangeTerm: () => this.chooseTerm() });
    this.withdrawal = new WithdrawPanel({ onReason: (reason) => void this.withdraw(reason), onLeave: () => this.setWithdraws(false) });
    const show = () => { if (this.isShown) this.show(); };
    deck.store.watch(['draft', 'tool', 'freehand', 'penSeen', 'chosen', 'recordStep', 'mode'], show);
    deck.store.watch(['draftStep'], () => deck.drafts.afterwards(show));
    deck.plate.map.on('click', (/** @type {any} */ event) => this.tap(event));
  }

  /** @param {Wish} [wish] */
  async enter(wish = {}) {
    this.choosesTerm = false;
    this.withdraws = false;
    this.shapes = false;
    // Back from the stop card or a photograph the same wish comes again; what was drawn since stays under the pen.
    if (wish !== this.taken) await this.takeWish(wish);
    this.taken = wish;
    this.isShown = true;
    await this.readAside();
    this.deck.store.set({ tool: this.deck.store.state.draft ? 'draw' : 'choose' });
    this.show();
  }

  leave() {
    this.isShown = false;
    // The draft stays under the pen and on the disk; elsewhere a tap draws nothing.
    this.deck.store.set({ tool: 'choose', chosen: null });
  }

  /** @private @param {Wish} wish */
  async takeWish({ term, grow, correct, choose, part, onPart }) {
    const { record, store, plate } = this.deck;
    if (term) await this.pen.takeTerm(term);
    const prior = typeof grow === 'string' ? record.previous.get(grow) : grow;
    if (prior) await this.pen.grow(prior);
    if (correct) await this.pen.correct(correct);
    if (choose) store.set({ chosen: { layer: 'own', id: choose } });
    if (part && onPart) await this.pen.part(part, onPart);
    const shown = store.state.draft?.geometry ?? (choose ? record.outlines.get(choose)?.geometry : null);
    if (shown) plate.bringIntoView(boundsOf(shown));
  }

  /** @private */
  async readAside() {
    const { cell, mode } = this.deck.store.state;
    // A disk that fails says so itself, and stands in nobody's way who draws.
    const rows = await this.deck.drafts.others().catch(() => []);
    this.aside = rows.filter((row) => row.mode === mode && (row.cell === cell || this.deck.store.state.bay.includes(row.cell)));
  }

  /** @private */
  show() {
    const { draft } = this.deck.store.state;
    if (draft && !this.choosesTerm) this.showDraft(draft);
    else if (this.chosenOutline) this.showChosen(this.chosenOutline);
    else this.showTerms(draft);
  }

  /** @private @param {import('../../wall/draft.js').Draft} draft */
  showDraft(draft) {
    const { store, marks } = this.deck;
    this.say(draft.stated.term ? marks.swatch(draft.stated.term, 30) : null, draftName(draft, marks), draftSentence(draft, store.state));
    this.statements.show(draft);
    const panel = this.shapes && canBeShaped(draft) ? this.shapePanel(draft) : this.statements.element;
    this.deck.controls.show({ ...draftControls({ draft, state: store.state, screen: this }), panel });
  }

  /** @private @param {import('../../wall/draft.js').Draft} draft */
  shapePanel(draft) {
    return make('div', { class: 'deck-term-grid' }, shapeControls(draft, this).map(({ id, label, pressed, act }) => make('button', { type: 'button', class: 'button', dataset: { control: id }, 'aria-pressed': pressed === undefined ? null : String(pressed), onclick: act }, label)));
  }

  /** @private @param {import('../../wall/draft.js').Draft | null} draft */
  showTerms(draft) {
    const { store, pack, controls } = this.deck;
    this.say(null, draft ? 'Change the term' : 'Take a term', draft ? 'The outline under the pen stays as it is.' : 'Then tap around what you see. Tap an outline of this survey to correct it.');
    this.chooser.show({ listed: pack?.boot.survey.search_list?.[store.state.mode] ?? [], chosen: draft?.stated.term ?? null });
    const main = draft ? [this.keepTerm()] : [this.undoControl(), this.backControl()];
    controls.show({ main, panel: make('div', {}, draft ? null : this.asideButtons(), this.chooser.element) });
  }

  /** @private @param {Outline} outline */
  showChosen(outline) {
    const { controls, marks } = this.deck;
    this.say(marks.swatch(outline.term, 30), `${outline.item}, ${marks.term(outline.term).name}`, `${sizeText(outline)}.${outline.conflict ? ' In conflict: two statements stand side by side; it is decided at the desk.' : ''}`);
    if (this.withdraws) {
      controls.show({ main: [{ id: 'keep-outline', label: `Keep ${outline.item}`, act: () => this.setWithdraws(false) }], panel: this.withdrawal.element });
      return;
    }
    controls.show({
      main: [
        { id: 'correct', label: 'Move points', kind: 'accent', act: () => void this.pen.correct(outline.id) },
        { id: 'grow-own', label: outline.geometry.type.endsWith('Point') ? 'Add points' : 'Grow an edge', act: () => void this.growOwn(outline) },
        { id: 'withdraw', label: 'Withdraw…', act: () => this.setWithdraws(true) },
        { id: 'leave-outline', label: 'Leave it', act: () => this.deck.store.set({ chosen: null }) },
      ],
      panel: null,
    });
  }

  /** @private @param {Outline} outline */
  async growOwn(outline) {
    await this.pen.correct(outline.id);
    const { draft } = this.deck.store.state;
    if (draft && draft.kind !== 'point') draft.addNext('edge');
  }

  /** @private @param {Node | null} swatch @param {string} what @param {string} sentence */
  say(swatch, what, sentence) {
    const said = `${what} ${sentence}`;
    if (this.said === said) return;
    this.said = said;
    fill(this.element, make('p', { class: 'deck-now' }, swatch, make('strong', {}, what), ' ', sentence));
  }

  /** @private */
  get chosenOutline() {
    const { chosen } = this.deck.store.state;
    return chosen?.layer === 'own' ? this.deck.record.outlines.get(chosen.id) ?? null : null;
  }

  /** @private outlines put aside in this bay, to be taken up again */
  asideButtons() {
    return this.aside.slice(0, 3).map((row) => make('button', { type: 'button', class: 'button deck-aside', onclick: () => void this.takeUp(row.id) },
      make('span', {}, `Take up: ${row.stated.term ? this.deck.marks.term(row.stated.term).name : 'hidden part'}`), make('small', {}, `${row.cell}, ${row.done} ${row.done === 1 ? 'step' : 'steps'}`)));
  }

  /** @private @returns {Control} */
  undoControl() {
    return { id: 'undo', label: this.pen.lastAside ? 'Take outline up again' : 'Undo', act: () => void this.pen.undo().then(() => this.refresh()) };
  }

  /** @returns {Control} */
  backControl() {
    return { id: 'back', label: `Back to ${this.deck.store.state.cell}`, act: () => void this.deck.go('cell') };
  }

  /** @private @returns {Control} */
  keepTerm() {
    return { id: 'keep-term', label: 'Keep this term', act: () => { this.choosesTerm = false; this.show(); } };
  }

  /** A tap that draws nothing chooses an outline of this survey. @private @param {any} event */
  tap(event) {
    const { store, plate } = this.deck;
    if (!this.isShown || store.state.draft) return;
    const found = plate.outlineAt(event.pixel, TAP_REACH_PX);
    store.set({ chosen: found?.layer === 'own' ? found : null });
  }

  /** @param {boolean} shapes */
  setShapes(shapes) {
    this.shapes = shapes;
    if (!shapes && this.deck.drawing.removing) this.deck.drawing.setRemoving(false);
    this.show();
  }

  sayMore() {
    this.shapes = false;
    this.statements.toggle();
    this.show();
  }

  chooseTerm() {
    this.choosesTerm = true;
    this.show();
  }

  /** @private @param {string} code */
  async takeTerm(code) {
    this.choosesTerm = false;
    await this.pen.takeTerm(code);
    this.show();
  }

  /** @private @param {string} id */
  async takeUp(id) {
    await this.pen.takeUp(id);
    await this.refresh();
  }

  async putAside() {
    const { cell } = this.deck.store.state;
    if (await this.pen.putAside() && this.pen.lastAside) this.deck.say(`The outline is put aside. Undo takes it up again, until ${cell} is done.`, 'info');
    await this.refresh();
  }

  async putDown() {
    const draft = this.deck.store.state.draft;
    const isChange = Boolean(draft?.identity.objectId) || draft?.purpose !== 'outline';
    if (!(await this.pen.putDown())) return;
    if (isChange) await (this.deck.way.length > 1 ? this.deck.back() : this.deck.go('cell'));
  }

  /** @private @param {boolean} withdraws */
  setWithdraws(withdraws) {
    this.withdraws = withdraws;
    this.show();
  }

  /** @private @param {string} reason */
  async withdraw(reason) {
    const outline = this.chosenOutline;
    this.withdraws = false;
    if (outline) await this.pen.withdraw(outline.id, reason);
    this.deck.store.set({ chosen: null });
    this.show();
  }

  /** @private */
  async refresh() {
    await this.readAside();
    if (this.isShown) this.show();
  }
}
