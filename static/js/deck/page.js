/**
 * How does the deck page start? Opens the tablet's disk, reads what is kept on it, joins the parts and shows the first
 * screen; all of it without the network.
 */
// @ts-ignore the static files' finder puts the package's folder there
import { openDB } from '../../vendor/idb/index.js';
import { byId, fill, make } from '../shared/dom.js';
import { csrfToken } from '../shared/port.js';
import { IdbDisk } from './core/disk.js';
import { TabletLog } from './core/log.js';
import { browserPlatform } from './core/platform.js';
import { Deck } from './deck.js';
import { readPack } from './prepare/pack_store.js';
import { openStoreName } from './prepare/stores.js';
import { DeckRecord } from './record.js';
import { DeckSettings } from './settings.js';
import { joinShell } from './shell/shell.js';
import { joinSync } from './status/join_sync.js';

/** @returns {Deck['places']} */
function places() {
  const names = /** @type {const} */ (['head', 'where', 'saved', 'buttons', 'signal', 'stop', 'banner', 'body', 'note', 'map', 'said', 'main', 'panel', 'others', 'full']);
  return /** @type {any} */ (Object.fromEntries(names.map((name) => [name, byId(`deck-${name}`)])));
}

/** @returns {Promise<Deck>} */
async function open() {
  performance.mark('deck-modules');
  const platform = browserPlatform();
  /** @type {(error: Error) => void} */
  let tell = () => {};
  const openDisk = (/** @type {string} */ name) => new IdbDisk({ openDB, name, onTrouble: (/** @type {any} */ error) => tell(error), later: platform.later });
  const storeName = openStoreName(localStorage);
  const disk = openDisk(storeName);
  const [log, settings, kept] = await Promise.all([TabletLog.open({ disk, platform }), DeckSettings.read(disk), readPack(disk)]);
  performance.mark('deck-disk');
  const deck = new Deck({ disk, platform, log, settings, kept, storeName, openDisk, places: places() });
  tell = (error) => deck.diskTrouble(error);
  if (deck.pack) deck.record = await DeckRecord.open({ log, pack: deck.pack, plan: deck.plan, store: deck.store, platform });
  performance.mark('deck-record');
  joinSync(deck, csrfToken);
  await deck.start();
  // Neither server nor newer version is looked for before the person sees the wall.
  deck.sync?.start();
  joinShell(deck);
  deck.plate?.map.once('rendercomplete', () => performance.mark('deck-cell-drawn'));
  deck.plate?.map.render();
  return deck;
}

open().then((deck) => {
  document.body.dataset.ready = 'yes';
  performance.mark('deck-ready');
  // For tests and benchmarks alone: the page's own parts never reach through the window.
  Object.assign(byId('deck-map'), { pontata: { deck } });
}).catch((error) => {
  const full = byId('deck-full');
  full.hidden = false;
  fill(full, make('section', { class: 'deck-screen is-full' }, make('h2', {}, 'The deck page cannot start'),
    make('p', { class: 'message-error' }, `${error.message ?? error} Nothing on this tablet was changed. Close this page and open it again; when it stays so, take another tablet and keep this one for the lead conservator.`)));
  throw error;
});
