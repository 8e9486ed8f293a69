/**
 * How does one file travel to the server, with its progress, and what came of it? It knows no page.
 */

/**
 * What came of one file. `lost` means that no answer came: it may be sent again without harm.
 * @typedef {{state: 'kept' | 'there' | 'refused' | 'lost', words: string[], photograph: string}} Outcome
 */

/** Whether a name has the ending of a raw camera file. @param {string} name @param {string[]} endings */
export function isRaw(name, endings) {
  return endings.some((ending) => name.toLowerCase().endsWith(ending));
}

/**
 * Renderings first, for raw files need them; each kind in the order of its names.
 * @template {{name: string}} F
 * @param {Iterable<F>} files
 * @param {string[]} endings of raw files
 * @returns {F[]}
 */
export function inOrder(files, endings) {
  const late = (/** @type {F} */ file) => Number(isRaw(file.name, endings));
  return [...files].sort((a, b) => late(a) - late(b) || a.name.localeCompare(b.name, 'en', { numeric: true }));
}

/** What is said of a file in its address; empty values are left out. @param {string} url @param {string} name @param {Record<string, string>} said */
export function addressOf(url, name, said) {
  const query = new URLSearchParams({ name });
  for (const [key, value] of Object.entries(said)) if (value.trim()) query.set(key, value.trim());
  return `${url}?${query}`;
}

/**
 * Send one file.
 * @param {string} address
 * @param {File} file
 * @param {string} token
 * @param {(share: number) => void} onProgress how much of it has gone, 0 to 1
 * @returns {Promise<Outcome>}
 */
export function sendFile(address, file, token, onProgress) {
  return new Promise((resolve) => {
    const request = new XMLHttpRequest();
    request.open('POST', address);
    request.setRequestHeader('X-CSRFToken', token);
    request.setRequestHeader('Content-Type', 'application/octet-stream');
    request.setRequestHeader('Accept', 'application/json');
    request.upload.addEventListener('progress', (event) => { if (event.lengthComputable) onProgress(event.loaded / event.total); });
    request.addEventListener('load', () => resolve(outcomeOf(request.status, request.responseText)));
    for (const end of ['error', 'abort', 'timeout']) request.addEventListener(end, () => resolve(lost('No answer came. Check the network, then send it again.')));
    request.send(file);
  });
}

/** What an answer means. @param {number} status @param {string} text @returns {Outcome} */
export function outcomeOf(status, text) {
  /** @type {any} */
  let said = null;
  try { said = JSON.parse(text); } catch { return lost(`The server answered ${status} without a reason. Send it again.`); }
  if (status === 201 || status === 200) {
    const state = status === 201 ? 'kept' : 'there';
    return { state, words: said.remarks ?? [], photograph: said.photograph };
  }
  if (status >= 500) return lost(said.message ?? `The server answered ${status}. Send it again.`);
  if (status === 401) return lost('You are signed out. Sign in in another tab, then send it again.');
  return { state: 'refused', words: [said.message ?? 'Refused without a reason.'], photograph: '' };
}

/** @param {string} words @returns {Outcome} */
function lost(words) {
  return { state: 'lost', words: [words], photograph: '' };
}
