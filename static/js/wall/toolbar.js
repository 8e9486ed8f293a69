/**
 * Which tool is in hand, and what is shown on the plate? The buttons above and below the map, and the keys that do the same.
 */
import { button } from '../shared/controls.js';
import { fill, make } from '../shared/dom.js';
import { otherPictures, pictureKey, pictureName, pictureSaid } from './base_pictures.js';
import { capital } from './words.js';

export class Toolbar {
  /**
   * @param {object} options
   * @param {HTMLElement} options.tools above the map
   * @param {HTMLElement} options.now the line that says what to do now
   * @param {HTMLElement} options.views below the map
   * @param {HTMLElement} options.distance over the map's right edge
   * @param {HTMLElement} options.said over the map's lower edge: which picture is shown
   * @param {HTMLElement} options.shaping over the map's left edge, while a finished shape can be changed
   * @param {import('./desk.js').Desk} options.desk
   * @param {import('./state.js').Store} options.store
   * @param {import('./plate.js').Plate} options.plate
   * @param {import('./drawing.js').Drawing} options.drawing
   * @param {import('./plan.js').WallPlan} options.plan
   * @param {any} options.data
   */
  constructor({ tools, now, views, distance, said, shaping, desk, store, plate, drawing, plan, data }) {
    this.desk = desk;
    this.store = store;
    this.plate = plate;
    this.drawing = drawing;
    this.plan = plan;
    this.data = data;
    this.said = said;
    /** @type {Map<string, string>} the picture that was chosen in each mode, by key; nobody else changes it */
    this.chosenPictures = new Map();
    /** @type {(picture: import('./base_pictures.js').BasePicture | null) => void} */
    this.onPicture = () => {};
    this.buildTools(tools);
    tools.hidden = !desk.canRecord;
    this.buildDistance(distance);
    this.buildViews(views);
    store.watch(['draft', 'draftStep', 'tool', 'freehand', 'snap', 'penSeen', 'term', 'recordStep'], () => { this.showNow(now); this.showShaping(shaping); });
    store.watch(['mode'], (state) => this.takeMode(state.mode));
    store.watch(['recordStep'], () => this.showSaid());
    store.watch(['outlineView'], (state) => plate.setOutlineStrength(state.outlineView));
    plate.target.addEventListener('keydown', (/** @type {KeyboardEvent} */ event) => this.key(event));
  }

  /** @private @param {HTMLElement} target */
  buildTools(target) {
    const { desk, store } = this;
    this.chooseButton = button('Choose', () => this.chooseTool(), { title: 'Choose outlines (Escape)' });
    this.drawButton = button('Draw', () => { if (store.state.term) desk.beginOutline(store.state.term); else this.askTerm(); }, { title: 'Draw with the term last taken (D)' });
    this.freehandButton = button('Freehand', () => store.set({ freehand: !store.state.freehand }), { title: 'Draw with a held finger or mouse (F)' });
    this.snapButton = button('Snap', () => store.set({ snap: !store.state.snap }), { title: 'Snap to grid lines and outlines (S); never for the pen' });
    this.undoButton = button('Undo', () => void desk.undo(), { title: 'Take the last step back (Ctrl+Z)' });
    this.redoButton = button('Redo', () => void desk.redo(), { title: 'Do it again (Ctrl+Shift+Z)' });
    fill(target, make('div', { class: 'tool-group' }, this.chooseButton, this.drawButton), make('div', { class: 'tool-group' }, this.freehandButton, this.snapButton), make('div', { class: 'tool-group' }, this.undoButton, this.redoButton));
  }

  /** @private @param {HTMLElement} target */
  buildDistance(target) {
    const { plan, plate, store } = this;
    const cell = () => store.state.cell;
    fill(target,
      button('+', () => plate.zoomBy(1), { 'aria-label': 'Come nearer to the wall', title: 'Come nearer (+)' }), button('−', () => plate.zoomBy(-1), { 'aria-label': 'Go back from the wall', title: 'Go back (−)' }),
      button('Cell', () => plate.fit(plan.bounds(cell()), true), { title: 'The chosen cell' }), button('Bay', () => plate.fit(plan.bay(cell()), true), { title: 'The cell with its neighbours' }), button('Wall', () => plate.fit(plan.extent, true), { title: 'The whole wall' }));
  }

  /** @private @param {HTMLElement} target */
  buildViews(target) {
    const { store } = this;
    const option = (/** @type {import('./base_pictures.js').BasePicture} */ picture) => make('option', { value: pictureKey(picture) }, pictureName(picture));
    const pictures = make('select', { class: 'input', 'aria-label': 'Picture under the outlines', onchange: (/** @type {Event} */ event) => this.takePicture(/** @type {HTMLSelectElement} */ (event.target).value) },
      this.data.pictures.map(option), make('option', { value: '' }, 'No picture'));
    this.pictureSelect = pictures;
    const strength = make('select', { class: 'input', 'aria-label': 'How strongly outlines lie over the picture', onchange: (/** @type {Event} */ event) => store.set({ outlineView: /** @type {any} */ (/** @type {HTMLSelectElement} */ (event.target).value) }) },
      make('option', { value: 'full' }, 'Outlines full'), make('option', { value: 'faint' }, 'Outlines faint'), make('option', { value: 'off' }, 'Outlines off'));
    const previous = this.data.previous ? button(`Show ${this.data.previous.code}`, () => store.set({ showPrevious: !store.state.showPrevious }), { title: `Show the outlines of survey ${this.data.previous.code} that nothing here answers yet` }) : null;
    if (previous) store.watch(['showPrevious'], (state) => previous.setAttribute('aria-pressed', String(state.showPrevious)));
    fill(target, previous ? make('div', { class: 'tool-group' }, previous) : null, strength, pictures);
  }

  /** Show the picture that was chosen in a mode, at first the best one. @private @param {string} mode */
  takeMode(mode) {
    const chosen = this.chosenPictures.get(mode);
    this.showing(chosen === undefined ? this.plate.showPicture(mode) : this.plate.showPictureOf(chosen));
  }

  /** Show one picture, or none for an empty key, and keep to it in its mode. @param {string} key */
  takePicture(key) {
    const shown = this.plate.showPictureOf(key);
    this.chosenPictures.set(shown?.mode ?? this.store.state.mode, key);
    this.showing(shown);
  }

  /** @private @param {import('./base_pictures.js').BasePicture | null} picture */
  showing(picture) {
    if (this.pictureSelect) this.pictureSelect.value = picture ? pictureKey(picture) : '';
    this.showSaid();
    this.onPicture(picture);
  }

  /** @private */
  showSaid() {
    const shown = this.plate.picture;
    const others = otherPictures(shown, this.desk.record.outlines.values(), this.data.pictures);
    fill(this.said, make('span', {}, pictureSaid(shown)), others ? make('span', { class: 'picture-warning' }, `${others}.`) : null);
    this.said.hidden = !shown && !others;
  }

  chooseTool() {
    const { draft } = this.store.state;
    if (draft && !draft.isEmpty) {
      this.desk.say('A draft is under the pen. Put it down or give it up first.', 'info');
      return;
    }
    this.desk.giveUpDraft();
  }

  /** @private */
  askTerm() {
    this.desk.say('Choose a term first: its button on the left, or search for it.', 'info');
    document.getElementById('term-search')?.focus();
  }

  /** @private @param {HTMLElement} target */
  showNow(target) {
    const { draft, tool, freehand, snap } = this.store.state;
    const hasDraft = Boolean(draft && !draft.isEmpty);
    this.chooseButton?.setAttribute('aria-pressed', String(tool === 'choose'));
    this.drawButton?.setAttribute('aria-pressed', String(tool === 'draw'));
    this.freehandButton?.setAttribute('aria-pressed', String(freehand));
    this.snapButton?.setAttribute('aria-pressed', String(snap));
    const { acts } = this.desk.record;
    if (this.undoButton) this.undoButton.disabled = !(draft?.history.canUndo || (!hasDraft && acts.canUndo));
    if (this.redoButton) this.redoButton.disabled = !(draft?.history.canRedo || (!hasDraft && acts.canRedo));
    fill(target, this.swatch(), make('p', { class: 'now-text' }, this.nowText()), this.nowButtons());
    target.classList.toggle('has-draft', hasDraft);
  }

  /** @private */
  swatch() {
    const { draft } = this.store.state;
    return draft?.stated.term ? this.plate.marks.swatch(draft.stated.term, 30) : null;
  }

  /** @private */
  nowText() {
    const { draft, freehand, penSeen } = this.store.state;
    if (!draft) return this.desk.canRecord ? 'Tap an outline to choose it, or take a term to draw.' : `Tap an outline to read what is stated. ${this.desk.readingOnly}`;
    const what = draft.purpose === 'outline' ? capital(this.plate.marks.term(draft.stated.term).name) : draft.purpose === 'hidden' ? 'Hidden part' : 'Part within touch';
    if (draft.role === 'hole' && !draft.sketch.length) return `${what}: draw around the sound part inside.`;
    if (draft.role === 'edge' && !draft.sketch.length) return `${what}: draw the new edge, beginning and ending on the old one.`;
    if (draft.isAdding && draft.sketch.length === 0) {
      const how = penSeen ? 'draw with the pen; fingers pan' : freehand ? 'draw with a held finger or mouse' : draft.kind === 'point' ? 'tap each place' : draft.kind === 'line' ? 'tap along it' : 'tap around it';
      return `${what}: ${how}.`;
    }
    if (draft.sketch.length) return `${what}: ${draft.sketch.length} ${draft.sketch.length === 1 ? 'point' : 'points'}. ${draft.kind === 'area' && draft.role !== 'edge' ? 'Tap the first point to close.' : 'Tap twice to end.'}`;
    return `${what}: drag a point to move it${this.drawing.removing ? ', tap one to take it out' : ''}.`;
  }

  /** @private */
  nowButtons() {
    const { draft, penSeen } = this.store.state;
    if (!draft) return penSeen ? [button('Let fingers draw again', () => this.store.set({ penSeen: false }))] : [];
    const buttons = [];
    if (draft.sketch.length && draft.canFinish) buttons.push(button(draft.kind === 'area' && draft.role !== 'edge' ? 'Close' : 'End line', () => draft.finish()));
    if (draft.adding) buttons.push(button('Leave this', () => draft.stopAdding()));
    if (!draft.isEmpty) buttons.push(button('Give up', () => this.desk.giveUpDraft(), { title: 'Throw the draft away (Escape)' }));
    buttons.push(button(draft.purpose === 'outline' ? 'Put down outline' : 'Take this part', () => void this.desk.putDown(), { class: 'button-accent', disabled: !draft.canPutDown }));
    return buttons;
  }

  /** The bar above the map keeps its height, so that the wall never moves under the pen; these lie over the map. @private @param {HTMLElement} target */
  showShaping(target) {
    const { draft } = this.store.state;
    const buttons = draft?.geometry && !draft.isAdding ? this.shapeButtons(draft) : [];
    target.hidden = buttons.length === 0;
    fill(target, buttons);
  }

  /** @private @param {import('./draft.js').Draft} draft */
  shapeButtons(draft) {
    if (draft.kind === 'point') return [];
    const removing = button('Take out points', () => this.drawing.setRemoving(!this.drawing.removing), { 'aria-pressed': String(this.drawing.removing) });
    const part = button(draft.kind === 'line' ? 'Add a line' : 'Add a part', () => draft.addNext('part'));
    if (draft.kind === 'line') return [part, removing];
    return [part, button('Cut a hole', () => draft.addNext('hole')), button('Move an edge', () => draft.addNext('edge')), removing];
  }

  /** Keys that work while the plate has the focus. @private @param {KeyboardEvent} event */
  key(event) {
    const { store, desk, plan } = this;
    const work = /** @type {Record<string, () => unknown>} */ ({
      Enter: () => this.enter(), Escape: () => this.escape(), f: () => store.set({ freehand: !store.state.freehand }), s: () => store.set({ snap: !store.state.snap }),
      d: () => this.drawButton?.click(), '[': () => desk.chooseCell(plan.inOrder(store.state.cell, -1)), ']': () => desk.chooseCell(plan.inOrder(store.state.cell, 1)),
    })[event.key];
    if (!work || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    work();
  }

  /** @private */
  enter() {
    const { draft } = this.store.state;
    if (draft?.sketch.length) draft.finish();
    else if (draft?.canPutDown) void this.desk.putDown();
  }

  /** @private */
  escape() {
    const { draft } = this.store.state;
    if (draft?.adding) draft.stopAdding();
    else if (draft?.sketch.length && draft.geometry === null) this.desk.say('Press "Give up" to throw the draft away, or Undo to take points back.', 'info');
    else if (!draft || draft.isEmpty) this.desk.giveUpDraft();
  }
}
