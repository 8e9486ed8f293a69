/**
 * How do the parts of the marking page come together? Joins photograph, magnifier, list and the server's answers; it holds
 * no rule of its own.
 */
import { button } from '../../shared/controls.js';
import { byId, dataBlock, fill, make } from '../../shared/dom.js';
import { Grid } from '../../shared/grid.js';
import { post, stateOf } from './asking.js';
import { TargetChooser } from './chooser.js';
import { PointList } from './list.js';
import { Loupe } from './loupe.js';
import { FEWEST_POINTS, Marking, NUDGE_PX } from './marking.js';
import { MarkingPanel } from './marking_panel.js';
import { PicturePlate } from './picture.js';
import { PlacedPanel } from './placed_panel.js';
import { RectifiedPlate } from './rectified.js';
import { Sight } from './sight.js';
import { furtherTargets, placeText } from './targets.js';
import { doubtedNames, nowText } from './words.js';

const ASK_AFTER_MS = 250;
const ASK_EVERY_MS = 1000;

const data = dataBlock('place-data');
const grid = Grid.fromJson(data.grid);
const { photograph } = data;
/** What the server said of the points that stand, or why it refused them. */
const heard = { answer: /** @type {import('./asking.js').Answer | null} */ (null), refusal: '', doubted: /** @type {Set<string>} */ (new Set()), sight: /** @type {Sight | null} */ (null), isBusy: false };
/** @type {{k1: number, k2: number} | null} */
let lens = data.placement?.lens ?? null;
let said = '';
let asked = '';
/** @type {AbortController | null} */
let asking = null;
/** @type {number | undefined} */
let waits;

const marking = new Marking({ ...photograph, onChange: () => changed() });
const picture = new PicturePlate({ target: byId('picture-map'), photograph, onTap: (px) => { said = ''; marking.tap(px); }, onChoose: (id) => marking.choose(id) });
const chooser = new TargetChooser({ grid, cells: photograph.cells, onTake: (target) => { if (marking.chosen) marking.name(marking.chosen.id, target); } });
const panel = new MarkingPanel({
  target: byId('side'), marking, chooser, loupe: new Loupe({ photograph, marking }), list: new PointList({ marking, say }),
  onPlace: (settings) => void place(settings), onLens: (terms) => { lens = terms; asked = ''; changed(); },
  onFurther: (one) => { marking.next = { name: one.name, kind: one.kind, wall_in: one.wall_in }; marking.choose(null); picture.goTo(one.px, 1); byId('picture-map').focus({ preventScroll: true }); },
});
const copy = new RectifiedPlate({ target: byId('copy-map'), wall: data.wall, grid });
const placed = new PlacedPanel({ target: byId('side'), isHistoric: photograph.is_historic, onMarkAgain: () => markAgain(), onGrid: (isShown) => copy.showGrid(isShown) });
chooser.onAround = () => show();
let isMarking = !data.placement;

fill(byId('distance'), button('+', () => plate().zoomBy(1), { 'aria-label': 'Come nearer', title: 'Come nearer (+)' }), button('−', () => plate().zoomBy(-1), { 'aria-label': 'Go back', title: 'Go back (−)' }), button('Whole', () => plate().fit(), { title: 'The whole picture' }));
byId('picture-map').addEventListener('keydown', key);
document.addEventListener('keydown', (event) => {
  const typing = event.target instanceof HTMLElement && event.target.matches('input, textarea, select');
  if (typing || !isMarking || !(event.ctrlKey || event.metaKey) || !['z', 'y'].includes(event.key.toLowerCase())) return;
  event.preventDefault();
  if (event.key.toLowerCase() === 'y' || event.shiftKey) marking.redo();
  else marking.undo();
});
window.addEventListener('beforeunload', (event) => { if (isMarking && marking.history.canUndo && !heard.isBusy) event.preventDefault(); });
start();

/** @returns {PicturePlate | RectifiedPlate} the one shown */
function plate() { return isMarking ? picture : copy; }

function start() {
  if (photograph.rectified) {
    byId('now').textContent = 'This picture is square to the wall already; it needs no points.';
    fill(byId('side'), make('p', { class: 'empty' }, 'Nothing is to be marked here: the picture came rectified, with its bounds on the wall.'));
    requestAnimationFrame(() => picture.fit());
  } else open();
  document.body.dataset.ready = 'yes';
}

/** Show the half of the page that is at work. */
function open() {
  byId('picture-map').hidden = !isMarking;
  byId('copy-map').hidden = isMarking;
  if (isMarking) panel.open();
  show();
  requestAnimationFrame(() => plate().fit());
}

function changed() {
  if (!isMarking) return;
  const points = JSON.stringify([marking.toJson(), lens]);
  if (points !== asked) {
    asked = points;
    hear(null, '');
    askSoon();
  }
  show();
  if (marking.chosen) picture.keepInView(marking.chosen.px);
}

function show() {
  if (!isMarking) {
    placed.show(data);
    copy.show(data.copy, data.placement);
    byId('now').textContent = data.copy ? 'The rectified copy, with the grid over it.' : 'The placement is in the record. The copy is being drawn.';
    byId('readout').textContent = '';
    return;
  }
  picture.showMarks(marking, heard.doubted);
  picture.showGrid(heard.sight, grid, heard.answer?.bounds_in ?? [0, 0, 0, 0]);
  const marked = marking.complete.map(({ target }) => /** @type {import('./targets.js').Target} */ (target).wall_in);
  const further = heard.sight && marked.length >= FEWEST_POINTS ? furtherTargets({ grid, sight: heard.sight, size: photograph, marked, cells: photograph.cells }) : [];
  panel.show({ ...heard, further });
  fill(byId('now'), make('p', { class: 'now-text' }, said || (heard.refusal ? 'The points were refused. Read why at the right; the photograph is not placed.' : nowText(marking, heard.answer?.statements))));
  const { chosen } = marking;
  byId('readout').textContent = chosen && heard.sight ? `The points put point ${marking.numberOf(chosen.id)} at ${placeText(heard.sight.toWall(chosen.px))}.` : '';
}

/** @param {import('./asking.js').Answer | null} answer @param {string} refusal */
function hear(answer, refusal) {
  Object.assign(heard, { answer, refusal, doubted: answer ? doubtedNames(answer) : new Set(), sight: answer ? new Sight(answer.fit.homography, lens, photograph) : null });
}

/** Ask what the points say once they stand still. */
function askSoon() {
  clearTimeout(waits);
  asking?.abort();
  if (marking.complete.length < FEWEST_POINTS) return;
  waits = setTimeout(() => void ask(), ASK_AFTER_MS);
}

async function ask() {
  asking = new AbortController();
  try {
    hear(await post(data.urls.check, body(), asking.signal), '');
  } catch (error) {
    if (error instanceof Error && error.name === 'AbortError') return;
    hear(null, error instanceof Error ? error.message : String(error));
  }
  show();
}

function body() {
  return { points: marking.toJson(), ...(lens ? { lens } : {}) };
}

/** @param {{px_per_in: number | null}} settings */
async function place({ px_per_in }) {
  heard.isBusy = true;
  show();
  try {
    const answer = await post(data.urls.place, { ...body(), ...(px_per_in ? { px_per_in } : {}) });
    data.job = answer.job_state_url ? { url: answer.job_url, state_url: answer.job_state_url, ended: false, label: 'Waiting', message: '' } : null;
    // The page as the server now has it: what is shown after placing is what is kept.
    location.reload();
  } catch (error) {
    heard.isBusy = false;
    heard.refusal = error instanceof Error ? error.message : String(error);
    show();
  }
}

function markAgain() {
  isMarking = true;
  marking.takeUp(data.placement.points);
  open();
}

/** Follow the work that draws the copy; when it is done, the page shows it. */
async function follow() {
  const { job } = data;
  try {
    const state = await stateOf(job.state_url);
    if (state.state === 'done') return location.reload();
    Object.assign(job, { label: state.label, message: state.message, ended: state.ended });
    if (!isMarking) placed.show(data);
  } catch {
    job.message = 'The server does not answer just now; asking again.';
  }
  if (!job.ended) setTimeout(() => void follow(), ASK_EVERY_MS);
  return undefined;
}

/** @param {string} message */
function say(message) {
  said = message;
  show();
}

/** Keys that work while the photograph has the focus. @param {KeyboardEvent} event */
function key(event) {
  const step = event.shiftKey ? 4 : NUDGE_PX;
  const work = /** @type {Record<string, () => unknown>} */ ({
    ArrowUp: () => marking.nudge(0, -step), ArrowDown: () => marking.nudge(0, step), ArrowLeft: () => marking.nudge(-step, 0), ArrowRight: () => marking.nudge(step, 0),
    n: () => marking.add(picture.middle), '[': () => marking.chooseBy(-1), ']': () => marking.chooseBy(1), '+': () => picture.zoomBy(1), '-': () => picture.zoomBy(-1),
    Delete: () => { if (marking.chosen) marking.remove(marking.chosen.id); }, Escape: () => { marking.next = null; marking.choose(null); },
  })[event.key];
  if (!work || event.ctrlKey || event.metaKey || event.altKey) return;
  event.preventDefault();
  work();
}

if (data.placement && !data.copy && data.job && !data.job.ended) void follow();

// For tests alone: the page's own parts never reach through the window.
Object.assign(byId('picture-map'), { pontata: { marking, picture } });
