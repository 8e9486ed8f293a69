/**
 * How are many photographs taken in from one page: chosen or laid down, sent one by one, each with what became of it?
 */
import { answer } from '../shared/controls.js';
import { byId, fill, make } from '../shared/dom.js';
import { addressOf, inOrder, sendFile } from './sending.js';

const BYTES_PER_MB = 1024 * 1024;
const ZONE = /^(Z|[+-]?\d{2}:?\d{2})$/i;
const STATES = { waiting: 'Waits', sending: 'Goes over', checking: 'Is checked', kept: 'Taken in', there: 'Already there', refused: 'Refused', lost: 'Did not arrive' };
const TAGS = { kept: 'tag tag-ok', there: 'tag', refused: 'tag tag-alarm', lost: 'tag tag-warn' };

/**
 * One file and what became of it.
 * @typedef {object} Row
 * @property {File} file
 * @property {Record<string, string>} said what the form said when it was chosen
 * @property {keyof typeof STATES} state
 * @property {HTMLTableCellElement} shown
 * @property {HTMLTableCellElement} words
 */

const form = /** @type {HTMLFormElement} */ (byId('take-in'));
const chooser = /** @type {HTMLInputElement} */ (byId('files'));
const drop = byId('drop');
const mode = /** @type {HTMLSelectElement} */ (byId('id_mode'));
/** @type {Row[]} */
const rows = [];
const rawEndings = (form.dataset.raw ?? '').split(',');
let running = false;

/** What the form says of the files, as the server's route names it. @returns {Record<string, string>} */
function saidNow() {
  const data = new FormData(form);
  const names = ['mode', 'lamp_side', 'lamp', 'angle_deg', 'cell', 'operator', 'clock_zone'];
  const said = Object.fromEntries(names.map((name) => [name, String(data.get(name) ?? '')]));
  for (const flag of ['scale_bar', 'colour_target']) said[flag] = data.has(flag) ? '1' : '';
  return said;
}

/** What no file could be taken in with: said at its field, before anything is sent. */
const CHECKS = /** @type {Record<string, (text: string) => void>} */ ({
  id_angle_deg: (text) => { if (text.trim() && !(Number(text) >= 0 && Number(text) <= 90)) throw new Error(`The angle is ${text}; it is a number from 0 to 90 degrees. Nothing was sent.`); },
  id_clock_zone: (text) => { if (text.trim() && !ZONE.test(text.trim())) throw new Error(`The zone is ${text}; write it such as +01:00. Nothing was sent.`); },
});

/** Whether the form says what can be taken; the first field that does not is shown. */
function isSaid() {
  for (const [id, check] of Object.entries(CHECKS)) {
    const input = /** @type {HTMLInputElement} */ (byId(id));
    const error = document.getElementById(`${id}_error`) ?? make('p', { class: 'field-error', id: `${id}_error`, role: 'alert' });
    input.closest('.field')?.append(error);
    const hint = input.getAttribute('aria-describedby');
    answer(input, error, check);
    const isWrong = input.hasAttribute('aria-invalid');
    const described = [hint?.replace(error.id, '').trim(), isWrong ? error.id : ''].filter(Boolean).join(' ');
    if (described) input.setAttribute('aria-describedby', described);
    if (isWrong) { input.focus(); return false; }
  }
  return true;
}

/** @param {Iterable<File>} files */
function add(files) {
  if (!isSaid()) return;
  const said = saidNow();
  for (const file of inOrder(files, rawEndings)) {
    const shown = make('td');
    const words = make('td');
    const row = /** @type {Row} */ ({ file, said, state: 'waiting', shown, words });
    byId('rows').append(make('tr', {}, make('th', { scope: 'row' }, file.name), make('td', { class: 'num' }, (file.size / BYTES_PER_MB).toFixed(1)), shown, words));
    rows.push(row);
    show(row, 'waiting');
  }
  byId('taking').hidden = rows.length === 0;
  run();
}

/** @param {Row} row @param {keyof typeof STATES} state @param {number} [share] */
function show(row, state, share) {
  row.state = state;
  const label = make('span', { class: TAGS[/** @type {keyof typeof TAGS} */ (state)] ?? '' }, STATES[state]);
  const bar = state === 'sending' ? make('progress', { max: 1, value: share ?? 0, 'aria-label': `How much of ${row.file.name} has gone over` }) : null;
  fill(row.shown, label, bar);
  tally();
}

function tally() {
  const count = (/** @type {string[]} */ ...states) => rows.filter((row) => states.includes(row.state)).length;
  const waiting = count('waiting', 'sending', 'checking');
  const parts = [`${count('kept')} taken in`, count('there') ? `${count('there')} already there` : '', `${count('refused')} refused`, count('lost') ? `${count('lost')} did not arrive` : '', waiting ? `${waiting} to go` : ''];
  const text = `${parts.filter(Boolean).join(', ')}.`;
  if (byId('tally').textContent !== text) byId('tally').textContent = text;
  byId('after').hidden = waiting > 0;
  byId('send-again').hidden = count('lost') === 0;
}

async function run() {
  if (running) return;
  running = true;
  for (let row = next(); row; row = next()) await sendRow(row);
  running = false;
}

/** The next file: renderings before raw files, whenever they were chosen. */
function next() {
  const waiting = rows.filter((row) => row.state === 'waiting');
  const first = inOrder(waiting.map((row) => row.file), rawEndings)[0];
  return waiting.find((row) => row.file === first);
}

/** @param {Row} row */
async function sendRow(row) {
  const token = /** @type {HTMLInputElement} */ (form.elements.namedItem('csrfmiddlewaretoken')).value;
  show(row, 'sending', 0);
  const progress = (/** @type {number} */ share) => (share < 1 ? show(row, 'sending', share) : show(row, 'checking'));
  const address = addressOf(form.dataset.url ?? '', row.file.name, row.said);
  const outcome = await sendFile(address, row.file, token, progress);
  const page = outcome.photograph ? make('a', { class: 'row-link', href: `${form.dataset.page}${outcome.photograph}/` }, 'Open its page') : null;
  fill(row.words, ...outcome.words.map((words) => make('p', {}, words)), page);
  show(row, outcome.state);
}

/** Show the cautions of the chosen light alone. */
function showCautions() {
  for (const part of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll('.cautions [data-modes]'))) {
    const modes = (part.dataset.modes ?? '').split(' ').filter(Boolean);
    part.hidden = modes.length > 0 && !modes.includes(mode.value);
  }
}

chooser.addEventListener('change', () => { add(chooser.files ?? []); chooser.value = ''; });
for (const name of ['dragenter', 'dragover']) drop.addEventListener(name, (event) => { event.preventDefault(); drop.classList.add('over'); });
for (const name of ['dragleave', 'drop']) drop.addEventListener(name, () => drop.classList.remove('over'));
drop.addEventListener('drop', (event) => { event.preventDefault(); add(event.dataTransfer?.files ?? []); });
form.addEventListener('submit', (event) => event.preventDefault());
mode.addEventListener('change', showCautions);
byId('send-again').addEventListener('click', () => { rows.filter((row) => row.state === 'lost').forEach((row) => show(row, 'waiting')); run(); });
window.addEventListener('beforeunload', (event) => { if (running) event.preventDefault(); });
showCautions();
document.body.dataset.ready = 'yes';
