/**
 * How does a table sort by its columns, and how does it leave the page as a CSV file? It changes no data.
 */

/**
 * The value by which a cell is ordered: its data-sort attribute, else its text.
 * @param {HTMLTableCellElement | undefined} cell
 * @returns {string}
 */
export function sortValue(cell) {
  if (!cell) return '';
  return (cell.dataset.sort ?? cell.textContent ?? '').trim();
}

/**
 * Order two values: numbers by size, text by the reader's alphabet, empty values last.
 * @param {string} first
 * @param {string} second
 * @returns {number}
 */
export function compareValues(first, second) {
  if (first === '' || second === '') return first === second ? 0 : first === '' ? 1 : -1;
  const a = Number(first.replace(/[,\u2009\u202f\u00a0 ]/g, ''));
  const b = Number(second.replace(/[,\u2009\u202f\u00a0 ]/g, ''));
  if (Number.isFinite(a) && Number.isFinite(b)) return a - b;
  return first.localeCompare(second, 'en', { numeric: true, sensitivity: 'base' });
}

/**
 * One field of a CSV line (RFC 4180); text that a spreadsheet would run as a formula gets an apostrophe.
 * @param {string} value
 * @returns {string}
 */
export function csvField(value) {
  const flat = value.replace(/\s+/g, ' ').trim();
  const safe = /^[=+@\t]|^-(?!\s*[\d.])/.test(flat) ? `'${flat}` : flat;
  return /[",\n;]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}

/**
 * The whole table as CSV text, columns marked data-no-csv left out.
 * @param {HTMLTableElement} table
 * @returns {string}
 */
export function tableToCsv(table) {
  const headRow = table.tHead?.rows[table.tHead.rows.length - 1];
  const left = new Set();
  if (headRow) [...headRow.cells].forEach((cell, column) => { if ('noCsv' in cell.dataset) left.add(column); });
  const rows = [headRow, ...[...table.tBodies].flatMap((body) => [...body.rows])].filter((row) => row && !row.hidden);
  return rows.map((row) => [.../** @type {HTMLTableRowElement} */ (row).cells]
    .filter((_, column) => !left.has(column))
    .map((cell) => csvField(cell.dataset.csv ?? cell.textContent ?? '')).join(',')).join('\r\n') + '\r\n';
}

/**
 * Sort the rows by one column; rows of equal value keep their order.
 * @param {HTMLTableElement} table
 * @param {number} column
 * @param {'ascending' | 'descending'} direction
 */
export function sortTable(table, column, direction) {
  const sign = direction === 'ascending' ? 1 : -1;
  for (const body of table.tBodies) {
    const rows = [...body.rows].map((row, order) => ({ row, order, value: sortValue(row.cells[column]) }));
    rows.sort((a, b) => {
      const empty = Number(a.value === '') - Number(b.value === '');
      return empty || sign * compareValues(a.value, b.value) || a.order - b.order;
    });
    body.append(...rows.map((entry) => entry.row));
  }
  table.tHead?.querySelectorAll('th').forEach((head) => head.removeAttribute('aria-sort'));
  table.tHead?.rows[table.tHead.rows.length - 1].cells[column].setAttribute('aria-sort', direction);
}

/**
 * Sort again by the column that was chosen, after the rows were replaced.
 * @param {HTMLTableElement} table
 */
export function keepSorted(table) {
  const head = /** @type {HTMLTableCellElement | null} */ (table.tHead?.querySelector('th[aria-sort]') ?? null);
  if (!head) return;
  sortTable(table, head.cellIndex, head.getAttribute('aria-sort') === 'descending' ? 'descending' : 'ascending');
}

/**
 * Give a table its sort buttons and its "Download as CSV".
 * @param {HTMLTableElement} table
 */
export function equipTable(table) {
  if (table.dataset.equipped || 'plain' in table.dataset) return;
  table.dataset.equipped = 'yes';
  const headRow = table.tHead?.rows[table.tHead.rows.length - 1];
  if (headRow) for (const head of headRow.cells) addSortButton(table, head);
  const frame = table.closest('.table-frame') ?? table;
  const tools = document.createElement('div');
  tools.className = 'table-tools';
  const download = document.createElement('button');
  download.type = 'button';
  download.className = 'button button-quiet';
  download.textContent = 'Download as CSV';
  download.addEventListener('click', () => offerFile(`${fileName(table)}.csv`, tableToCsv(table)));
  tools.append(download);
  frame.before(tools);
}

/** @param {HTMLTableElement} table @param {HTMLTableCellElement} head */
function addSortButton(table, head) {
  if ('noSort' in head.dataset || head.textContent?.trim() === '' || head.colSpan > 1) return;
  const button = document.createElement('button');
  button.type = 'button';
  button.className = 'sort-button';
  button.append(...head.childNodes);
  head.append(button);
  button.addEventListener('click', () => {
    const next = head.getAttribute('aria-sort') === 'ascending' ? 'descending' : 'ascending';
    sortTable(table, head.cellIndex, next);
  });
}

/** @param {HTMLTableElement} table */
function fileName(table) {
  const name = table.dataset.csvName ?? table.caption?.textContent ?? document.querySelector('h1')?.textContent ?? 'table';
  return name.trim().toLowerCase().replace(/[^a-z0-9]+/g, '-').replace(/^-|-$/g, '') || 'table';
}

/** @param {string} name @param {string} text */
function offerFile(name, text) {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(new Blob(['\ufeff', text], { type: 'text/csv;charset=utf-8' }));
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}
