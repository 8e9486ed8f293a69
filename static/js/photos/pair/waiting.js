/**
 * How far is the work on this pair? Asks every second; when it has ended, the page is read anew.
 */
import { byId } from '../../shared/dom.js';
import { stateOf } from '../place/asking.js';

const ASK_EVERY_MS = 1000;
const url = byId('pair-work').dataset.stateUrl;

/** @param {string} address */
async function ask(address) {
  try {
    const state = await stateOf(address);
    if (state.ended) {
      location.reload();
      return;
    }
    byId('work-label').textContent = state.label;
    byId('work-message').textContent = state.message;
    const bar = /** @type {HTMLProgressElement} */ (byId('work-progress'));
    bar.max = state.total || 1;
    bar.value = state.done;
  } catch {
    byId('work-message').textContent = 'The server does not answer just now; asking again.';
  }
  setTimeout(() => ask(address), ASK_EVERY_MS);
}

if (url) setTimeout(() => ask(url), ASK_EVERY_MS);
