/**
 * Which fields does the chosen way of naming a place need? The others are hidden, never emptied.
 */
const choice = /** @type {HTMLSelectElement | null} */ (document.getElementById('id_place'));
const parts = /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll('[data-place] [data-of]'));

function show() {
  for (const part of parts) part.hidden = part.dataset.of !== choice?.value;
}

choice?.addEventListener('change', show);
show();
