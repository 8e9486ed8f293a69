/**
 * How do the parts of the survey page come together? Reads the page's data, makes each part once, and joins them through
 * the store; it holds no rule of its own.
 */
import { byId, dataBlock, fill } from '../shared/dom.js';
import { tabs } from '../shared/controls.js';
import { HttpPort } from '../shared/port.js';
import { stripTiles } from './base_pictures.js';
import { Desk } from './desk.js';
import { Drawing } from './drawing.js';
import { ExaminationPanel } from './examination.js';
import { OutlineList } from './list.js';
import { TermMarks } from './marks.js';
import { OutlinePanel } from './outline_panel.js';
import { Palette } from './palette.js';
import { WallPlan } from './plan.js';
import { Plate } from './plate.js';
import { SurveyRecord } from './record.js';
import { startReadout } from './readout.js';
import { Store } from './state.js';
import { Strip } from './strip.js';
import { Toolbar } from './toolbar.js';
import { boundsOf } from './geometry.js';
import { inMode } from './words.js';

const TAP_REACH_PX = 8;

const data = dataBlock('wall-data');
const plan = new WallPlan(data);
const marks = new TermMarks(data.terms);
const store = new Store(/** @type {import('./state.js').PageState} */ ({
  cell: cellOfAddress() ?? plan.labels[0], mode: data.survey.modes[0], term: null, tool: 'choose',
  freehand: false, snap: false, penSeen: false, showPrevious: Boolean(data.previous), outlineView: 'full', tab: 'outline', chosen: null, draft: null, draftStep: 0, recordStep: 0, examinationStep: 0,
}));
const port = new HttpPort({ entriesUrl: data.urls.entries, onStatus: showStatus });
const today = () => (data.clock ?? new Date().toISOString()).slice(0, 10);
const record = new SurveyRecord({ data, plan, store, port, today });
const canRecord = Boolean(data.account.can_record) && data.survey.state === 'open';
const desk = new Desk({ store, record, plan, marks, say, canRecord });
const plate = new Plate({ target: byId('plate-map'), plan, marks, pictures: data.pictures });
desk.pictureUnderPen = () => plate.picture;
const strip = new Strip({ target: byId('strip'), plan, onChoose: (cell) => desk.chooseCell(cell) });
const drawing = new Drawing({ plate, store, plan });
const toolbar = new Toolbar({ tools: byId('tools'), now: byId('now'), views: byId('views'), distance: byId('distance'), said: byId('picture-said'), shaping: byId('shaping'), desk, store, plate, drawing, plan, data });
toolbar.onPicture = (/** @type {import('./base_pictures.js').BasePicture | null} */ picture) => strip.showPicture(picture ? stripTiles(picture) : []);
toolbar.onPicture(plate.picture);
const wanted = new URLSearchParams(location.search).get('picture');
if (wanted && data.pictures.some((/** @type {any} */ picture) => picture.id === wanted)) toolbar.takePicture(wanted);
new Palette({ modes: byId('modes'), search: /** @type {HTMLInputElement} */ (byId('term-search')), results: byId('term-results'), near: byId('terms-near'), more: byId('terms-more'), desk, store, marks, data });
const panel = new OutlinePanel({ target: byId('panel-outline'), desk, data });
const examination = new ExaminationPanel({ target: byId('panel-examination'), desk, plate, data });
new OutlineList({ target: byId('panel-list'), desk, panel, data });
startReadout({ target: byId('readout'), scale: byId('scale'), plate, plan, store });

const showTab = tabs(byId('side-tabs'), (name) => store.set({ tab: /** @type {any} */ (name) }));
store.watch(['tab'], (state) => showTab(state.tab));
store.watch(['cell'], (state) => showCell(state.cell));
desk.onShowCell = (/** @type {string} */ cell) => { if (!plate.shows(plan.bounds(cell))) plate.fit(plan.bay(cell)); };
store.watch(['chosen'], ({ chosen }) => plate.showChosen(chosen ? (chosen.layer === 'own' ? record.outlines : record.previous).get(chosen.id)?.geometry ?? null : null));
store.watch(['draft'], ({ draft }) => { if (draft?.geometry) plate.bringIntoView(boundsOf(draft.geometry)); });
store.watch(['recordStep', 'showPrevious'], () => showOutlines());
store.watch(['examinationStep', 'mode', 'cell'], () => showProgress());
plate.map.on('click', takeTap);
plate.map.on('moveend', () => strip.showView(plate.viewBox()));
listenToPage();
// The map's room is known only once the bars around it stand.
requestAnimationFrame(() => { plate.map.updateSize(); plate.fit(plan.bay(store.state.cell)); });

record.load().then(() => {
  examination.forgetDrafts();
  chooseOutlineOfAddress();
  document.body.dataset.ready = 'yes';
  performance.mark('survey-page-ready');
}).catch((error) => say(error.message, 'error'));

/** @param {any} event a tap that draws nothing chooses what lies under it */
function takeTap(event) {
  if (store.state.tool !== 'choose') return;
  const found = plate.outlineAt(event.pixel, TAP_REACH_PX);
  desk.choose(found);
  const cell = plan.cellAt(event.coordinate[0], event.coordinate[1]);
  // A tap on the plate never moves it.
  if (!found && cell) store.set({ cell });
}

/** @param {string} cell */
function showCell(cell) {
  strip.choose(cell);
  plate.showCell(plan.bounds(cell));
  const deck = plan.deckOf(cell);
  byId('strip-cell').textContent = deck ? `deck ${deck}` : '';
  /** @type {HTMLInputElement} */ (byId('cell-name')).value = cell;
  if (cellOfAddress() !== cell) history.replaceState(history.state, '', `#${cell}`);
}

/** The cell that a link to this page names, as in …/surveys/P1/#C17. @returns {string | null} */
function cellOfAddress() {
  const name = decodeURIComponent(location.hash.slice(1));
  return plan.grid.find(name) ? plan.grid.label(...plan.grid.position(name)) : null;
}

/** Choose the outline that a link to this page names, as in …/surveys/P1/?outline=…#C17. */
function chooseOutlineOfAddress() {
  const id = new URLSearchParams(location.search).get('outline');
  if (id && record.outlines.has(id)) desk.choose({ layer: 'own', id });
}

function showOutlines() {
  const own = [...record.outlines.values()];
  plate.showOutlines(own);
  plate.showPrevious(store.state.showPrevious ? record.openPrevious() : []);
  strip.showOutlines(own.map((outline) => ({ geometry: outline.geometry, hue: marks.term(outline.term).symbol.hue })));
}

function showProgress() {
  const { mode } = store.state;
  strip.showStates((label) => record.examinations.get(`${label}:${mode}`) ?? null);
  const done = plan.labels.filter((label) => record.examinations.get(`${label}:${mode}`)?.done).length;
  byId('progress').textContent = `${done} of ${plan.labels.length} cells done ${inMode(mode)}`;
  const next = examination.nextUndone();
  const button = /** @type {HTMLButtonElement} */ (byId('next-cell'));
  button.disabled = !next;
  button.textContent = next ? `Next not done: ${next}` : 'No cell waits';
}

/** @param {import('../shared/port.js').PortStatus} status */
function showStatus({ state, message, unsaved }) {
  const element = byId('save-status');
  element.className = `save-status is-${state}`;
  element.textContent = unsaved > 1 ? `${message} (${unsaved} entries)` : message;
}

/** @param {string} message @param {'ok' | 'error' | 'info'} [kind] */
function say(message, kind = 'info') {
  const element = byId('said');
  element.className = `said is-${kind}`;
  fill(element, message);
}

function listenToPage() {
  byId('next-cell').addEventListener('click', () => { const next = examination.nextUndone(); if (next) desk.chooseCell(next); });
  byId('previous-cell').addEventListener('click', () => desk.chooseCell(plan.inOrder(store.state.cell, -1)));
  byId('following-cell').addEventListener('click', () => desk.chooseCell(plan.inOrder(store.state.cell, 1)));
  const name = /** @type {HTMLInputElement} */ (byId('cell-name'));
  name.addEventListener('change', () => {
    if (plan.grid.find(name.value)) desk.chooseCell(plan.grid.label(...plan.grid.position(name.value)));
    else say(`"${name.value}" is no cell of this wall. ${plan.grid.range()}`, 'error');
  });
  window.addEventListener('hashchange', () => { const cell = cellOfAddress(); if (cell) desk.chooseCell(cell); });
  window.addEventListener('online', () => port.tryAgain());
  window.addEventListener('beforeunload', (event) => { if (port.unsaved || (store.state.draft && !store.state.draft.isEmpty)) event.preventDefault(); });
  document.addEventListener('keydown', (event) => {
    const typing = event.target instanceof HTMLElement && event.target.matches('input, textarea, select');
    if (typing || !(event.ctrlKey || event.metaKey)) return;
    const key = event.key.toLowerCase();
    if (key !== 'z' && key !== 'y') return;
    event.preventDefault();
    void (key === 'y' || event.shiftKey ? desk.redo() : desk.undo());
  });
}

// For tests and benchmarks alone: the page's own parts never reach through the window.
Object.assign(byId('plate-map'), { pontata: { plate, store, desk, record, toolbar } });
