/**
 * Shows how far a job is: asks the server every second until the job has ended.
 */
import { byId } from '../shared/dom.js';

const ASK_EVERY_MS = 1000;

/**
 * @typedef {{state: string, label: string, done: number, total: number, message: string,
 *   ended: boolean, again: boolean, url: string}} JobState
 */

/** @param {JobState} state */
function show(state) {
  byId('job-label').textContent = state.label;
  byId('job-steps').textContent = state.total ? `${state.done} of ${state.total} steps` : '';
  byId('job-message').textContent = state.message;
  const bar = /** @type {HTMLProgressElement} */ (byId('job-progress'));
  bar.max = state.total || 1;
  bar.value = state.state === 'done' ? bar.max : state.done;
  byId('job-cancel').hidden = state.ended;
  byId('job-again').hidden = !state.again;
  const result = /** @type {HTMLAnchorElement} */ (byId('job-result'));
  if (state.url) {
    result.href = state.url;
    result.hidden = false;
  }
}

async function ask() {
  const url = byId('job').dataset.stateUrl ?? '';
  try {
    const answer = await fetch(url, { headers: { Accept: 'application/json' } });
    if (!answer.ok) throw new Error(String(answer.status));
    const state = /** @type {JobState} */ (await answer.json());
    show(state);
    if (state.ended) return;
  } catch {
    byId('job-message').textContent = 'The server does not answer just now; asking again.';
  }
  setTimeout(ask, ASK_EVERY_MS);
}

if (byId('job').dataset.ended === 'no') ask();
