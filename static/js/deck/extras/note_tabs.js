/**
 * What else can be noted beside the round? One row, the same on each of these screens, that leads from one to the other.
 */
import { button } from '../../shared/controls.js';
import { make } from '../../shared/dom.js';

const TABS = [{ screen: 'photo', text: 'Photograph' }, { screen: 'reading', text: 'Reading' }, { screen: 'fragment', text: 'Fragment' }, { screen: 'slate', text: 'Slate' }, { screen: 'lamp', text: 'Lamp' }];

/**
 * Title, the other screens of this kind, and the way back.
 * @param {import('../deck.js').Deck} deck
 * @param {{screen: string, title: string}} here
 */
export function noteHead(deck, { screen, title }) {
  // Going on takes the place of going deeper: "Back" leads to where the round was left.
  const go = (/** @type {string} */ name) => { deck.way.pop(); void deck.go(name); };
  return make('div', { class: 'card-head' }, make('h2', {}, title),
    make('nav', { class: 'choice-row', 'aria-label': 'Other notes' }, TABS.map((tab) => button(tab.text, () => go(tab.screen), { class: 'choice', 'aria-current': tab.screen === screen ? 'page' : false, disabled: tab.screen === screen }))),
    button('Back', () => void deck.back()));
}
