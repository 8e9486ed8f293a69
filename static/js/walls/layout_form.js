/**
 * How does a page with repeated rows and a drawing answer while a person types? It reads nothing into
 * the record: the server draws and checks what is typed, and the same form works without this.
 */

const PAUSE_MS = 250;
const SHAPE_LABELS = {
  rectangle: { x: 'From left end', y: 'From lower edge', w: 'Width', h: 'Height' },
  circle: { x: 'Centre from left', y: 'Centre from below', w: 'Across', h: 'Height' },
  arch: { x: 'Centre from left', y: 'Foot from below', w: 'Width', h: 'Crown above foot' },
  points: { x: '', y: '', w: '', h: '' },
};

/**
 * Show only the fields that the chosen shape needs, named for it.
 * @param {HTMLElement} row
 */
function followShape(row) {
  const choice = /** @type {HTMLSelectElement | null} */ (row.querySelector('select[name$="-shape"]'));
  if (!choice) return;
  const show = () => {
    row.dataset.shape = choice.value;
    const labels = SHAPE_LABELS[/** @type {keyof typeof SHAPE_LABELS} */ (choice.value)];
    for (const [name, text] of Object.entries(labels ?? {})) {
      const label = row.querySelector(`.field-${name} [data-label]`);
      if (label && text) label.textContent = text;
    }
  };
  choice.addEventListener('change', show);
  show();
}

/**
 * Show the spacing or the typed lines of an axis.
 * @param {HTMLElement} axis
 */
function followKind(axis) {
  const choice = /** @type {HTMLSelectElement | null} */ (axis.querySelector('select[name$="_kind"]'));
  if (!choice) return;
  const show = () => { axis.dataset.kind = choice.value; };
  choice.addEventListener('change', show);
  show();
}

/**
 * Add rows in place instead of by asking the server for one more.
 * @param {HTMLElement} rows
 * @param {() => void} changed
 */
function growRows(rows, changed) {
  const total = /** @type {HTMLInputElement | null} */ (rows.querySelector('input[name$="-TOTAL_FORMS"]'));
  const template = rows.querySelector('template');
  const list = rows.querySelector('.row-list');
  const button = rows.querySelector('[data-another]');
  if (!total || !template || !list || !button) return;
  button.addEventListener('click', (event) => {
    event.preventDefault();
    const place = total.value;
    const row = /** @type {HTMLElement} */ (template.content.firstElementChild?.cloneNode(true));
    for (const element of row.querySelectorAll('*')) {
      for (const name of ['name', 'id', 'for', 'aria-describedby']) {
        const value = element.getAttribute(name);
        if (value) element.setAttribute(name, value.replace('__prefix__', place));
      }
    }
    total.value = String(Number(place) + 1);
    list.append(row);
    followShape(row);
    /** @type {HTMLElement | null} */ (row.querySelector('input, select'))?.focus();
    changed();
  });
}

/**
 * Draw what is typed, a moment after the last key.
 * @param {HTMLFormElement} form
 * @returns {() => void} to be called after a change that no key made
 */
function keepPreview(form) {
  const address = form.dataset.preview;
  const place = document.getElementById('preview');
  if (!address || !place) return () => {};
  let timer = 0;
  /** @type {AbortController | null} */
  let running = null;
  const draw = async () => {
    running?.abort();
    const mine = running = new AbortController();
    try {
      const answer = await fetch(address, { method: 'POST', body: new FormData(form), signal: mine.signal });
      if (!answer.ok) throw new Error(String(answer.status));
      const page = new DOMParser().parseFromString(await answer.text(), 'text/html');
      if (!mine.signal.aborted) place.replaceChildren(...page.body.children);
    } catch {
      if (mine.signal.aborted) return;
      const line = document.createElement('p');
      line.textContent = 'The drawing could not be fetched. The form can be sent all the same.';
      place.replaceChildren(line);
    }
  };
  const soon = () => { clearTimeout(timer); timer = window.setTimeout(draw, PAUSE_MS); };
  form.addEventListener('input', soon);
  form.addEventListener('change', soon);
  draw();
  return soon;
}

for (const form of document.querySelectorAll('form')) {
  const changed = keepPreview(form);
  for (const rows of form.querySelectorAll('[data-rows]')) growRows(/** @type {HTMLElement} */ (rows), changed);
  for (const row of form.querySelectorAll('[data-shape-row]')) followShape(/** @type {HTMLElement} */ (row));
  for (const axis of form.querySelectorAll('[data-axis]')) followKind(/** @type {HTMLElement} */ (axis));
}
