/**
 * How far is the work that waits and runs? Asks for each row every two seconds; when one has ended, the list is read anew.
 */
const ASK_EVERY_MS = 2000;

/** @typedef {{label: string, done: number, total: number, message: string, ended: boolean, again: boolean}} JobState */

/** @param {HTMLElement} row @returns {Promise<boolean>} whether the work has ended */
async function ask(row) {
  const answer = await fetch(row.dataset.stateUrl ?? '', { headers: { Accept: 'application/json' } });
  if (!answer.ok) throw new Error(String(answer.status));
  const state = /** @type {JobState} */ (await answer.json());
  part(row, 'label').textContent = state.label;
  // A worker that fell silent is told by the server's own words.
  if (!state.again) part(row, 'message').textContent = state.message;
  const bar = /** @type {HTMLProgressElement} */ (row.querySelector('progress'));
  bar.max = state.total || 1;
  bar.value = state.done;
  return state.ended;
}

/** @param {HTMLElement} row @param {string} name */
function part(row, name) {
  return /** @type {HTMLElement} */ (row.querySelector(`[data-part="${name}"]`));
}

async function askAll() {
  const rows = /** @type {HTMLElement[]} */ ([...document.querySelectorAll('#jobs tr[data-state-url]')]);
  if (!rows.length) return;
  const ended = await Promise.all(rows.map(ask)).catch(() => [false]);
  if (ended.some(Boolean)) location.reload();
  else setTimeout(askAll, ASK_EVERY_MS);
}

setTimeout(askAll, ASK_EVERY_MS);
