/**
 * Which tables of this page sort and leave as CSV? Every table.data-table that does not say data-plain.
 */
import { equipTable } from './tables.js';

for (const table of document.querySelectorAll('table.data-table')) equipTable(/** @type {HTMLTableElement} */ (table));
