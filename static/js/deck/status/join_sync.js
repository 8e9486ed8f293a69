/**
 * When does the deck page send what it holds, and what does it show of that? On a timer of the sync itself, when the page
 * comes into view, when the network is back, and by a button.
 */
import { Sync } from '../core/sync.js';
import { HttpWire } from '../core/wire.js';
import { signalOf, standingBanners } from './signal.js';

const LIMIT_MS = 8000;

/** @typedef {import('../deck.js').Deck} Deck */

/** @param {Deck} deck @param {() => string} token */
export function joinSync(deck, token) {
  const enrolment = deck.log.enrolment();
  if (!enrolment) return deck.head.showSignal(null);
  /** @type {typeof fetch} */
  const fetcher = (...request) => fetch(...request);
  const wire = new HttpWire({ base: `/api/v1/tablets/${enrolment.device}/`, fetcher, token, timeout_ms: LIMIT_MS });
  deck.sync = new Sync({ log: deck.log, wire, platform: deck.platform, onState: () => deck.store.step('syncStep') });
  deck.store.watch(['syncStep'], () => {
    deck.head.showSignal(signalOf(deck.sync.state));
    for (const [key, banner] of Object.entries(standingBanners(deck.sync.state, () => void deck.go('tablet')))) deck.banners.set(key, banner);
  });
  window.addEventListener('online', () => deck.sync.tryNow());
  window.addEventListener('pageshow', () => deck.sync.tryNow());
  document.addEventListener('visibilitychange', () => { if (!document.hidden) deck.sync.tryNow(); });
  deck.sync.start();
}
