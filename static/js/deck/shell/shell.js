/**
 * Which version of the page runs, and when is a newer one taken? Never while something is unsent or an outline is open.
 */

/** @typedef {import('../deck.js').Deck} Deck */

const WORKER = '/deck/worker.js';
const SCOPE = '/deck/';

/** @param {Deck} deck */
export function joinShell(deck) {
  if (!window.isSecureContext || !('serviceWorker' in navigator)) {
    deck.banners.set('insecure', { kind: 'error', message: 'This tablet will not work offline: the address has no encryption (HTTPS). Start the server with serve --lan and open its https address here.' });
    return;
  }
  navigator.serviceWorker.register(WORKER, { scope: SCOPE, updateViaCache: 'none' }).catch((error) => {
    deck.banners.set('worker', { kind: 'warn', message: `The page could not be kept for work without network: ${error.message}` });
  });
}
