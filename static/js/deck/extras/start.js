/**
 * Which helps of the deck run beside every screen? The dark screen, the lit one while a session is open, lamp minutes, open stops.
 */
import { fill, make } from '../../shared/dom.js';
import { currentSession } from '../session.js';
import { Blackout } from './blackout.js';
import { lampHead } from './lamp_words.js';
import { headWords } from './stop_body.js';
import { openStops } from './stops.js';
import { WakeKeeper } from './wake_lock.js';

/** @typedef {import('../deck.js').Deck} Deck */

const COUNT_EVERY_MS = 15_000;
const NO_WAKE_LOCK = 'This browser cannot keep the screen lit. Set the tablet itself to leave its screen on; everything is kept when it sleeps.';

/** @param {Deck} deck */
export async function startExtras(deck) {
  new Blackout(deck);
  deck.head.addButton('deck-dark', 'Dark screen', () => deck.store.set({ blackout: true }));
  showLamp(deck);
  showStops(deck);
  keepLit(deck);
}

/** @param {Deck} deck */
function showLamp(deck) {
  const shown = deck.head.addButton('deck-lamp', '', () => void deck.go('lamp'));
  shown.classList.add('deck-lamp');
  const show = () => {
    const session = currentSession(deck);
    const { title, detail, on } = lampHead(session?.lamps ?? [], deck.platform.now_ms());
    shown.hidden = !session;
    shown.classList.toggle('is-on', on);
    fill(shown, make('span', {}, title), make('small', {}, detail));
  };
  const count = () => { show(); deck.platform.later(count, COUNT_EVERY_MS); };
  deck.store.watch(['session'], show);
  count();
}

/** The one control that is always there says in words that a stop is open. @param {Deck} deck */
function showStops(deck) {
  const { stop } = deck.places;
  const show = () => {
    const words = headWords(openStops(deck), deck.platform.now_ms());
    stop.classList.toggle('is-open', Boolean(words));
    if (words) fill(stop, make('span', {}, words.title), make('small', {}, words.detail));
    else fill(stop, 'Stop card');
  };
  deck.store.watch(['recordStep', 'session', 'syncStep'], show);
  deck.log.onChange(() => queueMicrotask(show));
}

/** @param {Deck} deck */
function keepLit(deck) {
  const keeper = new WakeKeeper({ wakeLock: /** @type {any} */ (navigator).wakeLock, document, later: deck.platform.later }, (state) => {
    document.body.dataset.wake = state;
    const said = deck.settings.get('wakeLockSaid');
    if (state !== 'none' || said) return;
    deck.banners.set('wake', { kind: 'info', message: NO_WAKE_LOCK, actions: [{ label: 'Understood', act: () => { deck.banners.set('wake', null); void deck.settings.set('wakeLockSaid', true); } }] });
  });
  deck.store.watch(['session'], () => void keeper.want(Boolean(currentSession(deck))));
}
