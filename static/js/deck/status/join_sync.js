/**
 * How does the deck page send what it holds, and show how that stands?
 */
import { Sync } from '../core/sync.js';
import { HttpWire } from '../core/wire.js';

const LIMIT_MS = 8000;

/** @param {import('../deck.js').Deck} deck @param {() => string} token */
export function joinSync(deck, token) {
  const enrolment = deck.log.enrolment();
  if (!enrolment) return;
  const wire = new HttpWire({ base: `/api/v1/tablets/${enrolment.device}/`, fetcher: (...request) => fetch(...request), token, timeout_ms: LIMIT_MS });
  deck.sync = new Sync({ log: deck.log, wire, platform: deck.platform, onState: () => deck.store.step('syncStep') });
  deck.store.watch(['syncStep'], () => {
    const { state } = deck.sync;
    deck.head.showSignal({ unsent: state.unsent, photographs: state.photographs_unsent, phase: state.phase, attention: state.unsent > 0 || state.set_aside > 0 });
  });
  window.addEventListener('online', () => deck.sync.tryNow());
  document.addEventListener('visibilitychange', () => { if (!document.hidden) deck.sync.tryNow(); });
  deck.sync.start();
}
