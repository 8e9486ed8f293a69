/**
 * How do the parts of a pair's page come together? Joins the two pictures, the ways of looking and the hints; it holds no
 * rule of its own.
 */
import { button } from '../../shared/controls.js';
import { byId, dataBlock, fill, make } from '../../shared/dom.js';
import { formatFeetInches } from '../../shared/lengths.js';
import { TermMarks } from '../../wall/marks.js';
import { showScale } from '../../wall/readout.js';
import { HintsPanel } from './panel.js';
import { PairView } from './view.js';
import { Ways } from './ways.js';
import { errorText, sideWords } from './words.js';

const data = dataBlock('pair-data');
const isCalm = window.matchMedia('(prefers-reduced-motion: reduce)').matches;
const isCompared = data.state === 'compared';

const facts = make('section', {});
const hints = make('section', { id: 'hints' });
fill(byId('side'), isCompared ? [hints, facts] : facts);

const view = new PairView({
  target: byId('pair-map'), bounds_in: data.bounds_in, isCalm, onChoose: (key) => panel?.choose(key),
  urls: { before: data.before.url, after: data.after.url, difference: data.difference },
});
const ways = new Ways({
  view, isCalm, hasDifference: Boolean(data.difference), hasHints: isCompared && data.hints.length > 0,
  parts: { tools: byId('ways'), below: byId('below'), edge: byId('edge'), names: { before: byId('name-before'), after: byId('name-after') } },
  words: { before: sideWords(data.before), after: sideWords(data.after) },
});
const panel = isCompared ? new HintsPanel({
  target: hints, data, marks: new TermMarks(data.terms),
  onChoose: (hint) => { showHints(); if (hint) view.goTo(hint); }, onChange: () => showHints(),
}) : null;

fill(byId('distance'), button('+', () => view.zoomBy(1), { 'aria-label': 'Come nearer', title: 'Come nearer (+)' }), button('−', () => view.zoomBy(-1), { 'aria-label': 'Go back', title: 'Go back (−)' }), button('Cell', () => view.fit(), { title: 'The whole cell' }));
byId('pair-map').addEventListener('keydown', (event) => ways.key(event));
view.map.getView().on(/** @type {any} */ ('change:resolution'), () => showScale(byId('scale'), view.resolution_in));
showFacts();
showHints();
requestAnimationFrame(() => {
  view.fit();
  showScale(byId('scale'), view.resolution_in);
  view.map.once('rendercomplete', () => { document.body.dataset.ready = 'yes'; });
  view.map.render();
});

function showHints() {
  if (panel) view.showHints(panel.shown, panel.chosen);
}

function showFacts() {
  const row = (/** @type {string} */ name, /** @type {(Node | string)[]} */ ...said) => [make('dt', {}, name), make('dd', {}, said)];
  const side = (/** @type {import('./words.js').Side} */ one) => [make('a', { href: one.page }, one.name), make('br'), sideWords(one), make('br'), `${one.operator ? `by ${one.operator}; ` : ''}${one.px_per_in.toFixed(0)} px/in; a place on it ${errorText(one.error_in)}`];
  const [x0, y0, x1, y1] = data.bounds_in.map((/** @type {number} */ value) => formatFeetInches(value));
  const { quality } = data;
  fill(facts, make('h2', {}, 'What they rest on'), make('dl', { class: 'facts pair-facts' },
    row('Before', ...side(data.before)), row('After', ...side(data.after)),
    isCompared ? row('Laid to', `${errorText(quality.error_in)} (${quality.error_px.toFixed(3)} px), one standard deviation`, make('br'), quality.words) : null,
    row('Place', `${x0} to ${x1} from the left end, ${y0} to ${y1} up`),
    row('Scale', `both at ${data.px_per_in.toFixed(0)} px/in, same crop`)),
  make('p', { class: 'hint' }, isCompared ? 'The later picture is turned and shifted onto the earlier one. Neither is tinted, sharpened or evened.' : 'Neither picture is tinted, sharpened or evened.'));
}

// For tests and benchmarks alone: the page's own parts never reach through the window.
Object.assign(byId('pair-map'), { pontata: { view, ways, panel } });
