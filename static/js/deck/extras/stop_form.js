/**
 * What was seen, when, in which cells, and what fell: the part of the stop card that is filled in by taps?
 */
import { button } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';
import { madeAt } from '../core/canonical.js';
import { cameraControl } from './camera.js';
import { PHOTOGRAPH_CAUTION } from './cautions.js';
import { cellsAround } from './cells_around.js';
import { liveText, minuteChooser, part, wordButtons } from './form_parts.js';
import { ACTIVITIES, FRAGMENT_WORDS, freeText, toggledWord, withFreeText } from './stop_body.js';

/** @typedef {import('./stop_body.js').Stop} Stop */

/**
 * @param {object} options
 * @param {import('../deck.js').Deck} options.deck
 * @param {Stop} options.stop as it is on the disk
 * @param {(change: Partial<Stop>) => void} options.onChange
 */
export function stopForm({ deck, stop, onChange }) {
  const now = { ...stop };
  const change = (/** @type {Partial<Stop>} */ changed) => { Object.assign(now, changed); onChange(changed); };
  return make('div', {},
    part('When', minuteChooser({ label: 'Noticed at', at_ms: Date.parse(stop.noticed_at), now_ms: () => deck.platform.now_ms(), onChange: (at_ms) => change({ noticed_at: madeAt(at_ms) }) })),
    part('What was seen or heard',
      wordButtons({ label: 'Tap all that apply', words: ACTIVITIES, isChosen: (word) => chosen(now.activity, word), onToggle: (word) => change({ activity: toggledWord(now.activity, word, ACTIVITIES) }) }),
      liveText({ label: 'In your words', value: freeText(stop.activity, ACTIVITIES), tall: true, onInput: (text) => change({ activity: withFreeText(now.activity, text, ACTIVITIES) }), attributes: { maxlength: 2000 } })),
    part('Photograph before touching', make('p', {}, PHOTOGRAPH_CAUTION), photographs(deck, now, change)),
    part('Cells', cellButtons(deck, now, change)),
    part('Fragments',
      wordButtons({ label: 'On boards, trays and floor', words: FRAGMENT_WORDS, isChosen: (word) => chosen(now.fragments ?? '', word), onToggle: (word) => change({ fragments: toggledWord(now.fragments ?? '', word, FRAGMENT_WORDS) }) }),
      liveText({ label: 'Where and what', value: freeText(stop.fragments ?? '', FRAGMENT_WORDS), onInput: (text) => change({ fragments: withFreeText(now.fragments ?? '', text, FRAGMENT_WORDS) }), attributes: { maxlength: 2000 } })),
    part('Note', liveText({ label: 'Anything else', value: stop.note ?? '', tall: true, onInput: (note) => change({ note }), attributes: { maxlength: 2000 } })));
}

/** @param {string} text @param {string} word */
function chosen(text, word) {
  return text.split('; ').includes(word);
}

/** @param {import('../deck.js').Deck} deck @param {Stop} now @param {(change: Partial<Stop>) => void} change */
function photographs(deck, now, change) {
  if (!deck.record) return make('p', {}, 'No survey is prepared on this tablet, so no photograph can be kept with the card.');
  const count = make('p', { role: 'status' });
  const show = () => fill(count, now.photographs?.length ? `${now.photographs.length} on this card.` : 'None on this card yet.');
  show();
  const taken = (/** @type {{digest: string}} */ { digest }) => { change({ photographs: [...new Set([...(now.photographs ?? []), digest])] }); show(); };
  return [cameraControl(deck, { label: 'Photograph it', note: () => 'Stop card.', onKept: taken }), count];
}

/** Cells stay in their places while they are tapped; more are offered only when asked for. @param {import('../deck.js').Deck} deck @param {Stop} now @param {(change: Partial<Stop>) => void} change */
function cellButtons(deck, now, change) {
  if (!deck.plan) return make('p', {}, 'No survey is prepared on this tablet, so no cell can be chosen. Write the place in the note.');
  const place = make('div', {});
  const toggle = (/** @type {string} */ label) => change({ cells: now.cells.includes(label) ? now.cells.filter((one) => one !== label) : [...now.cells, label] });
  const show = () => {
    const middles = now.cells.length ? now.cells : [deck.store.state.cell];
    const words = cellsAround(deck.plan, middles, [...now.cells, ...deck.store.state.bay]);
    fill(place, wordButtons({ label: 'Tap the cells concerned', words, isChosen: (label) => now.cells.includes(label), onToggle: toggle }));
  };
  show();
  return [place, button('Show more cells around these', show)];
}
