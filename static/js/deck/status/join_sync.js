/**
 * When does the deck page send what it holds, and what does it show of that? On a timer of the sync itself, when the page
 * comes into view, when the network is back, and by a button.
 */
import { Sync } from '../core/sync.js';
import { HttpWire } from '../core/wire.js';
import { clearedOf, clearedText, forgetHeld, noteHeld } from './held_here.js';
import { signalOf, standingBanners } from './signal.js';

const LIMIT_MS = 8000;

/** @typedef {import('../deck.js').Deck} Deck */

/** @param {Deck} deck @param {() => string} token */
export function joinSync(deck, token) {
  const enrolment = deck.log.enrolment();
  sayIfCleared(deck);
  if (!enrolment) return deck.head.showSignal(null);
  /** @type {typeof fetch} */
  const fetcher = (...request) => fetch(...request);
  const wire = new HttpWire({ base: `/api/v1/tablets/${enrolment.device}/`, fetcher, token, timeout_ms: LIMIT_MS });
  deck.sync = new Sync({ log: deck.log, wire, platform: deck.platform, onState: () => deck.store.step('syncStep') });
  deck.store.watch(['syncStep'], () => {
    const signal = signalOf(deck.sync.state);
    deck.head.showSignal(signal);
    noteHeld(localStorage, { store: deck.storeName, name: enrolment.name, survey: enrolment.survey, waiting: signal.waiting });
    for (const [key, banner] of Object.entries(standingBanners(deck.sync.state, () => void deck.go('tablet')))) deck.banners.set(key, banner);
  });
  window.addEventListener('online', () => deck.sync.tryNow());
  window.addEventListener('pageshow', () => deck.sync.tryNow());
  document.addEventListener('visibilitychange', () => { if (!document.hidden) deck.sync.tryNow(); });
}

/** @param {Deck} deck */
function sayIfCleared(deck) {
  const cleared = clearedOf(localStorage, { store: deck.storeName, isEnrolled: deck.log.enrolment() !== null });
  if (!cleared) return;
  const read = () => { forgetHeld(localStorage); deck.banners.set('cleared', null); };
  deck.banners.set('cleared', { kind: 'error', message: clearedText(cleared), actions: [{ label: 'The lead knows', act: read }] });
}
