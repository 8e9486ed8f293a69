/**
 * Which version of the page runs, and when is a newer one taken? Never while something is unsent or an outline is open.
 */

/** @typedef {import('../deck.js').Deck} Deck */

const WORKER = '/deck/worker.js';
const SCOPE = '/deck/';
/** Screens on which nothing is being said about the wall, so that the page may start anew. */
const QUIET_SCREENS = ['prepare', 'tablet'];
const ANSWER_LIMIT_MS = 2000;

/** @param {Deck} deck */
export function joinShell(deck) {
  if (!window.isSecureContext || !('serviceWorker' in navigator)) {
    deck.banners.set('insecure', { kind: 'error', message: 'This tablet will not work offline: the address has no encryption (HTTPS). Start the server with serve --lan and open its https address here.' });
    return;
  }
  const shell = new Shell(deck, navigator.serviceWorker);
  shell.join().catch((error) => deck.banners.set('worker', { kind: 'warn', message: `The page could not be kept for work without network: ${error.message}. Open it again where there is network.` }));
}

class Shell {
  /** @param {Deck} deck @param {ServiceWorkerContainer} container */
  constructor(deck, container) {
    this.deck = deck;
    this.container = container;
    /** @type {ServiceWorkerRegistration | null} */
    this.registration = null;
    this.taking = false;
    /** @type {ServiceWorker | null} the worker that holds a newer version, once one does */
    this.fresh = null;
  }

  async join() {
    this.container.addEventListener('controllerchange', () => { if (this.taking) location.reload(); });
    this.deck.store.watch(['syncStep', 'draft', 'screen'], () => { if (this.fresh) void this.consider(); });
    const registration = await this.container.register(WORKER, { scope: SCOPE, updateViaCache: 'none' });
    this.registration = registration;
    registration.addEventListener('updatefound', () => {
      registration.installing?.addEventListener('statechange', () => void this.look());
    });
    window.addEventListener('online', () => void registration.update().catch(() => {}));
    await this.look();
  }

  /** @private is there a newer version? */
  async look() {
    this.fresh = await this.newer();
    await this.consider();
  }

  /** @private take a newer version when it may be taken, or say that it waits */
  async consider() {
    const { fresh } = this;
    if (!fresh || this.taking) return;
    if (!await this.mayTake()) {
      this.deck.banners.set('shell', { kind: 'info', message: 'A newer version of this page is ready; it is taken when everything is sent and no outline is open.' });
      return;
    }
    if (QUIET_SCREENS.includes(this.deck.store.state.screen ?? '')) return this.take(fresh);
    this.deck.banners.set('shell', { kind: 'info', message: 'A newer version of this page is ready.', actions: [{ label: 'Take it now', act: () => void this.takeIfStill(fresh) }] });
  }

  /** @private the worker that holds a newer version than the one in use @returns {Promise<ServiceWorker | null>} */
  async newer() {
    const worker = this.registration?.waiting ?? this.registration?.active ?? null;
    const versions = worker ? await askVersions(worker) : null;
    if (!worker || !versions) return null;
    this.deck.shellVersion = versions.taken;
    return versions.newest !== versions.taken ? worker : null;
  }

  /** @private what another page of this tablet holds counts too @returns {Promise<boolean>} */
  async mayTake() {
    const { entries, photographs } = this.deck.log.unsent();
    const drafts = await this.deck.disk.run(['drafts'], 'readonly', (tx) => tx.all('drafts'));
    // What was put aside is no open outline; a newer version finds it on the disk.
    return !entries && !photographs && drafts.every(({ left }) => left);
  }

  /** @private @param {ServiceWorker} fresh */
  async takeIfStill(fresh) {
    if (await this.mayTake()) this.take(fresh);
    else await this.consider();
  }

  /** @private @param {ServiceWorker} fresh */
  take(fresh) {
    this.taking = true;
    fresh.postMessage('take-over');
    // An active worker changes no controller; its version is in use at the next load.
    if (fresh === this.registration?.active) setTimeout(() => location.reload(), 300);
  }
}

/** @param {ServiceWorker} worker @returns {Promise<{taken: string, newest: string} | null>} */
function askVersions(worker) {
  return new Promise((resolve) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = ({ data }) => resolve(data);
    setTimeout(resolve, ANSWER_LIMIT_MS, null);
    worker.postMessage('versions', [port2]);
  });
}
