/**
 * What can be read at one place of the wall, in which units, and can a number be true? The server asks the same ranges again.
 */

/**
 * @typedef {object} Unit
 * @property {string} unit
 * @property {number} least
 * @property {number} most
 *
 * @typedef {object} Quantity
 * @property {string} code
 * @property {string} name as it stands in a sentence
 * @property {Unit[]} units the usual one first
 * @property {boolean} [signed] whether it can lie below nought
 * @property {string} [hint] how it is read, so that two readings can be compared
 */

const TEMPERATURES = [{ unit: '°F', least: -60, most: 200 }, { unit: '°C', least: -50, most: 95 }];

/** Ranges are those of the instruments' world, not limits for the wall. @type {Quantity[]} */
export const QUANTITIES = [
  { code: 'moisture', name: 'moisture', units: [{ unit: '%', least: 0, most: 100 }, { unit: 'digits', least: 0, most: 999 }], hint: 'Relative only: salts read as wet. Always the same meter and the same setting.' },
  { code: 'surface-temperature', name: 'surface temperature', units: TEMPERATURES, signed: true, hint: 'Lamps off long enough that they no longer warm the wall.' },
  { code: 'air-temperature', name: 'air temperature', units: TEMPERATURES, signed: true },
  { code: 'relative-humidity', name: 'relative humidity', units: [{ unit: '%', least: 0, most: 100 }] },
  { code: 'illuminance', name: 'illuminance', units: [{ unit: 'lx', least: 0, most: 200_000 }, { unit: 'fc', least: 0, most: 20_000 }], hint: 'Sensor flat before the wall, facing outward; it touches no paint.' },
  { code: 'uv', name: 'ultraviolet', units: [{ unit: 'µW/lm', least: 0, most: 10_000 }, { unit: 'mW/m²', least: 0, most: 100_000 }] },
  { code: 'crack-width', name: 'crack width', units: [{ unit: 'in', least: 0, most: 12 }, { unit: 'mm', least: 0, most: 300 }], hint: 'At the marked place and the same hour; cracks breathe with warmth, so read the surface temperature too.' },
  { code: 'gloss', name: 'gloss', units: [{ unit: 'GU', least: 0, most: 2_000 }], hint: 'State the angle in the note. On matt paint use 85°.' },
];

export const OTHER = 'other';
const LONGEST_UNIT = 20;
const LONGEST_WHAT = 80;

/** @param {string} code @returns {Quantity | undefined} */
export function quantityOf(code) {
  return QUANTITIES.find((quantity) => quantity.code === code);
}

/** The name of a quantity in a sentence. @param {{quantity: string, what?: string}} reading */
export function quantityName({ quantity, what = '' }) {
  return quantityOf(quantity)?.name ?? (what || 'another quantity');
}

/**
 * What is wrong with a reading, in words with what to do; empty when it can be true.
 * @param {{quantity: string, value: number | null, unit: string, what?: string}} reading
 * @returns {string}
 */
export function troubleWith({ quantity, value, unit, what = '' }) {
  if (value === null) return 'No number is typed yet. Type the reading on the pad.';
  if (quantity === OTHER) return troubleWithOther(unit, what);
  const known = quantityOf(quantity);
  const range = known?.units.find((one) => one.unit === unit);
  if (!known || !range) return 'No unit is chosen. Choose the one that the instrument shows.';
  const side = value < range.least ? 'below' : value > range.most ? 'above' : '';
  if (!side) return '';
  const limit = side === 'below' ? range.least : range.most;
  return `${withUnit(value, unit)} ${known.name} is ${side} ${withUnit(limit, unit)}. Check the unit and the decimal point; nothing was kept.`;
}

/** @param {string} unit @param {string} what */
function troubleWithOther(unit, what) {
  if (!what.trim()) return 'What was measured is not said. Write its name.';
  if (what.trim().length > LONGEST_WHAT) return `The name is longer than ${LONGEST_WHAT} characters. Shorten it; more can stand in the note.`;
  if (!unit.trim()) return 'The unit is not said. Write it as the instrument shows it.';
  if (unit.trim().length > LONGEST_UNIT) return `The unit is longer than ${LONGEST_UNIT} characters. Shorten it.`;
  return '';
}

/** A number with its unit, with a space that does not break; "°" and "%" as usual. @param {number | string} value @param {string} unit */
export function withUnit(value, unit) {
  return `${value} ${unit}`.replace('-', '−');
}

/**
 * The body of a spot reading; what was left open is left out.
 * @param {object} stated
 * @param {string} stated.quantity
 * @param {number} stated.value
 * @param {string} stated.unit
 * @param {string} stated.cell
 * @param {[number, number] | null} [stated.place] [in]
 * @param {string} [stated.instrument]
 * @param {string} [stated.what]
 * @param {string | null} [stated.session]
 * @param {string} [stated.note]
 */
export function readingBody({ quantity, value, unit, cell, place = null, instrument = '', what = '', session = null, note = '' }) {
  return {
    quantity, value, unit: unit.trim(), cell,
    ...(place ? { place } : {}), ...(instrument.trim() ? { instrument: instrument.trim() } : {}),
    ...(quantity === OTHER ? { what: what.trim() } : {}), ...(session ? { session } : {}), ...(note.trim() ? { note: note.trim() } : {}),
  };
}

/** A reading in one line. @param {Record<string, any>} body */
export function readingText(body) {
  return `${withUnit(body.value, body.unit)} ${quantityName(/** @type {any} */ (body))}, ${body.cell}${body.instrument ? `, ${body.instrument}` : ''}`;
}
