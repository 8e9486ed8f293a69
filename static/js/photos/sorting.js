/**
 * How far is the sorting of the frames? Asks the server every second, and shows the outcome once it has ended.
 */
import { byId } from '../shared/dom.js';

const ASK_EVERY_MS = 1000;

/** @param {string} url */
async function ask(url) {
  try {
    const answer = await fetch(url, { headers: { Accept: 'application/json' } });
    if (!answer.ok) throw new Error(String(answer.status));
    const state = await answer.json();
    if (state.ended) { location.reload(); return; }
    byId('work-message').textContent = state.message || 'It waits for the worker.';
    const bar = /** @type {HTMLProgressElement} */ (byId('work-progress'));
    bar.max = state.total || 1;
    bar.value = state.done;
  } catch {
    byId('work-message').textContent = 'The server does not answer just now; asking again.';
  }
  setTimeout(() => ask(url), ASK_EVERY_MS);
}

const url = document.getElementById('work')?.dataset.stateUrl;
if (url) ask(url);
