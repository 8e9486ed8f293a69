/**
 * What was seen of the chosen cell in the mode in use, and which cell comes next? The panel where sight, touch, hidden
 * parts and the search list are stated, and where "cell done" says in words what it asserts.
 */
import { button, choiceRow, freshId, textField } from '../shared/controls.js';
import { fill, make } from '../shared/dom.js';
import { formatArea } from '../shared/lengths.js';
import { draftFromLayout, draftFromRecord, examinationBody } from './examination_draft.js';
import { hiddenStyle } from './plate_styles.js';
import { boundsOf, rectangleRings, sizes } from './geometry.js';
import { capital, doneSentence, inMode } from './words.js';

/** @typedef {import('./examination_draft.js').ExaminationDraft} ExaminationDraft */

const CAUSES = ['deck boards', 'standard', 'ledger', 'toe-board', 'tie', 'facing', 'seal or sheet', 'the light did not reach it'];
const SIGHTS = [{ value: 'seen', text: 'Seen' }, { value: 'touch', text: 'Within touch too' }, { value: 'not-examined', text: 'Not examined' }];

export class ExaminationPanel {
  /**
   * @param {object} options
   * @param {HTMLElement} options.target
   * @param {import('./desk.js').Desk} options.desk
   * @param {import('./plate.js').Plate} options.plate
   * @param {any} options.data
   */
  constructor({ target, desk, plate, data }) {
    this.target = target;
    this.desk = desk;
    this.plate = plate;
    this.data = data;
    /** @type {Map<string, ExaminationDraft>} what was chosen and not yet saved, by cell and mode */
    this.drafts = new Map();
    /** Whether the hidden parts stand open to be changed. */
    this.changingHidden = false;
    desk.onPartDrawn = (geometry, purpose) => this.takePart(geometry, purpose);
    desk.onCannotSee = (outline) => this.addHidden({ geometry: hiddenGeometry(outline.geometry), cause: '' });
    desk.store.watch(['cell', 'mode'], () => { this.changingHidden = false; this.show(); });
    desk.store.watch(['examinationStep', 'recordStep'], () => this.show());
  }

  get key() {
    const { cell, mode } = this.desk.store.state;
    return `${cell}:${mode}`;
  }

  /** @returns {string[]} */
  get searchList() {
    return this.data.survey.search_list?.[this.desk.store.state.mode] ?? [];
  }

  /** @returns {ExaminationDraft} */
  get draft() {
    const known = this.drafts.get(this.key);
    if (known) return known;
    const { cell, mode } = this.desk.store.state;
    const stated = this.desk.record.examinations.get(this.key);
    const { plan } = this.desk;
    const draft = stated ? draftFromRecord(stated, this.searchList) : draftFromLayout(plan.obstructionsOf(cell, mode), plan.bounds(cell), this.searchList);
    this.drafts.set(this.key, draft);
    return draft;
  }

  /** What was filled in before the record was read gives way to what it says. */
  forgetDrafts() {
    this.drafts.clear();
    this.show();
  }

  show() {
    const { cell, mode } = this.desk.store.state;
    const stated = this.desk.record.examinations.get(this.key);
    const { draft } = this;
    const examined = draft.sight !== 'not-examined';
    fill(this.target,
      make('h2', {}, `Cell ${cell} ${inMode(mode)}`), make('p', { class: 'muted' }, statedText(stated)),
      choiceRow({ label: 'How it was seen', choices: SIGHTS, value: draft.sight, onChange: (value) => { draft.sight = /** @type {any} */ (value); this.show(); } }),
      draft.sight === 'touch' && draft.touch && sizes(draft.touch).area_sq_in < this.cellArea ? make('p', { class: 'hint' }, `Within touch: ${formatArea(sizes(draft.touch).area_sq_in)} of this cell; the rest is hidden or out of reach.`) : null,
      examined ? this.hiddenParts() : textField({ label: 'Why it was not examined', value: draft.cause, attributes: { maxlength: 200 }, onChange: (text) => { draft.cause = text; } }),
      this.done(examined, stated),
      textField({ label: 'Note', value: draft.note, attributes: { maxlength: 1000 }, onChange: (text) => { draft.note = text; } }));
    this.showHiddenOnPlate();
  }

  /** @private */
  get cellArea() {
    const [x0, y0, x1, y1] = this.desk.plan.bounds(this.desk.store.state.cell);
    return (x1 - x0) * (y1 - y0);
  }

  /** @private */
  hiddenParts() {
    const { draft } = this;
    const listId = freshId('causes');
    const rows = draft.hidden.map((part, index) => make('li', { class: 'hidden-part' },
      textField({ label: `Part ${index + 1}, ${formatArea(sizes(part.geometry).area_sq_in)}: what hides it`, value: part.cause, attributes: { list: listId, maxlength: 120 }, onChange: (text) => { part.cause = text.trim(); this.showHiddenOnPlate(); } }),
      button('Remove', () => { draft.hidden.splice(index, 1); this.show(); }, { 'aria-label': `Remove hidden part ${index + 1}` })));
    const summary = rows.length ? `Hidden: ${draft.hidden.map((part) => part.cause || 'cause not named').join('; ')}` : 'Hidden parts: none';
    return make('details', { class: 'more', open: draft.hidden.some((part) => !part.cause) || this.changingHidden, ontoggle: (/** @type {Event} */ event) => { this.changingHidden = /** @type {HTMLDetailsElement} */ (event.target).open; } }, make('summary', {}, summary),
      rows.length ? make('ul', { class: 'plain-list' }, rows) : make('p', { class: 'hint' }, 'Nothing of this cell was hidden.'),
      make('datalist', { id: listId }, CAUSES.map((cause) => make('option', { value: cause }))),
      make('div', { class: 'button-row' }, button('Draw hidden part', () => this.desk.beginPart('hidden')), draft.sight === 'touch' ? button('Draw touched part', () => this.desk.beginPart('touch')) : null));
  }

  /** @private */
  searched() {
    const { draft, searchList } = this;
    if (!searchList.length) return null;
    const boxes = searchList.map((code) => {
      const box = make('input', { type: 'checkbox', checked: draft.searched.has(code), onchange: () => {
        if (box.checked) draft.searched.add(code);
        else draft.searched.delete(code);
        this.showSentence();
      } });
      return make('label', { class: 'check' }, box, this.desk.marks.swatch(code, 20), capital(this.desk.marks.term(code).name));
    });
    return make('details', { class: 'more' }, make('summary', {}, `Looked for: ${draft.searched.size} of ${searchList.length} on the search list`), make('div', { class: 'check-list' }, boxes));
  }

  /** @private @param {boolean} examined @param {any} stated */
  done(examined, stated) {
    if (!this.desk.canRecord) return make('p', { class: 'hint' }, this.desk.readingOnly);
    this.sentence = make('p', { class: 'done-sentence' });
    this.showSentence();
    const save = () => void this.save(false);
    if (!examined) return make('div', { class: 'side-actions' }, button('State as not examined', save, { class: 'button-accent' }), this.nextButton());
    return [make('div', { class: 'done-box' }, make('p', { class: 'label' }, '"Cell done" asserts:'), this.sentence, this.searched()),
      make('div', { class: 'side-actions' }, button(stated?.done ? 'Cell done, state again' : 'Cell done', () => void this.save(true), { class: 'button-accent' }), button('Save, not done', save), this.nextButton())];
  }

  /** @private */
  nextButton() {
    const next = this.nextUndone();
    return next ? button(`Go to ${next}`, () => this.desk.chooseCell(next)) : null;
  }

  /** @private */
  showSentence() {
    const { cell, mode } = this.desk.store.state;
    const names = this.searchList.filter((code) => this.draft.searched.has(code)).map((code) => this.desk.marks.term(code).name);
    const drawn = [...this.desk.record.outlines.values()].some((outline) => outline.cells.includes(cell));
    if (this.sentence) this.sentence.textContent = doneSentence(names, mode, drawn);
  }

  /** The next cell in reading order without "done" in this mode. @returns {string | null} */
  nextUndone() {
    const { cell, mode } = this.desk.store.state;
    const { labels } = this.desk.plan;
    const start = labels.indexOf(cell);
    const later = [...labels.slice(start + 1), ...labels.slice(0, start)];
    return later.find((label) => !this.isSettled(label, mode)) ?? null;
  }

  /** Done, or stated as not examined. @param {string} label @param {string} mode */
  isSettled(label, mode) {
    const stated = this.desk.record.examinations.get(`${label}:${mode}`);
    return Boolean(stated && (stated.done || stated.state === 'not-examined'));
  }

  /** @private @param {boolean} done */
  async save(done) {
    const { cell, mode } = this.desk.store.state;
    const { key } = this;
    try {
      const body = examinationBody(this.draft, { box: this.desk.plan.bounds(cell), searchList: this.searchList, done });
      this.drafts.delete(key);
      await this.desk.record.examine({ cell, mode, body });
      this.desk.say(done ? `${cell} done ${inMode(mode)}.` : `${cell}: what was seen ${inMode(mode)} is saved.`, 'ok');
    } catch (error) {
      this.desk.say(error instanceof Error ? error.message : String(error), 'error');
    }
  }

  /** @private @param {import('./geometry.js').Geometry} geometry @param {string} purpose */
  takePart(geometry, purpose) {
    if (purpose === 'hidden') this.addHidden({ geometry, cause: '' });
    else this.draft.touch = geometry;
    this.desk.store.set({ tool: 'choose', tab: 'examination' });
    this.show();
  }

  /** @private @param {{geometry: import('./geometry.js').Geometry, cause: string}} part */
  addHidden(part) {
    this.draft.hidden.push(part);
    this.desk.store.set({ tab: 'examination', chosen: null });
    this.show();
    this.desk.say('Name what hides this part, then save the examination.', 'info');
  }

  /** @private */
  showHiddenOnPlate() {
    const { hiddenSource } = this.plate;
    hiddenSource.clear();
    for (const part of this.draft.sight === 'not-examined' ? [] : this.draft.hidden) {
      const feature = new ol.Feature(this.plate.geometryOf(part.geometry));
      feature.setStyle(hiddenStyle(part.cause));
      hiddenSource.addFeature(feature);
    }
  }
}

/** @param {any} stated */
function statedText(stated) {
  if (!stated) return 'Nothing is stated of it yet.';
  const how = { touch: 'Seen and within touch', seen: stated.touch ? 'Seen, partly within touch' : 'Seen, not touched', 'part-hidden': 'Seen but for hidden parts', 'not-examined': `Not examined: ${stated.cause ?? ''}` }[/** @type {string} */ (stated.state)] ?? stated.state;
  const by = stated.observed_by ? `, by ${stated.observed_by}` : '';
  return `${how}${by}. ${stated.done ? 'Done.' : 'Not yet done.'}${stated.pending ? ' Saving.' : ''}`;
}

/** An outline that cannot be seen hides as an area; a line or point as the box around it, at least an inch across. @param {import('./geometry.js').Geometry} geometry */
function hiddenGeometry(geometry) {
  if (geometry.type.endsWith('Polygon')) return structuredClone(geometry);
  const [x0, y0, x1, y1] = boundsOf(geometry);
  return { type: 'Polygon', coordinates: rectangleRings([x0 - 0.5, y0 - 0.5, x1 + 0.5, y1 + 0.5]) };
}
