/**
 * What is said of a fragment that came away: its bag, where it lay, what it is? Pure.
 */

export const PLACES_BELOW = ['deck boards', 'debris tray', 'scaffold ledger', 'sheeting fold', 'floor', 'in the air, caught'];
export const LAYERS = ['paint', 'paint with ground', 'plaster', 'salts', 'not clear'];
const LONGEST_BAG = 40;
const MOST_PIECES = 100_000;
const HEAVIEST_G = 100_000;

/**
 * A free label for the bag: survey, cell and running number, as it is written on the bag itself.
 * @param {{survey: string, cell: string, taken: Iterable<string>}} options
 */
export function suggestedBag({ survey, cell, taken }) {
  const stem = `${survey}-${cell}-F`;
  const used = new Set(taken);
  let number = 1;
  while (used.has(`${stem}${number}`)) number += 1;
  return `${stem}${number}`;
}

/** What keeps a fragment from being kept, in words; empty when nothing does. @param {{bag: string, count: number | null, weight_g: number | null, taken: Iterable<string>}} stated */
export function troubleWithFragment({ bag, count, weight_g, taken }) {
  if (!bag.trim()) return 'The bag has no label. Write the label that stands on the bag.';
  if (bag.trim().length > LONGEST_BAG) return `The bag's label is longer than ${LONGEST_BAG} characters. Shorten it.`;
  if ([...taken].includes(bag.trim())) return `A bag ${bag.trim()} is kept already. Give this one another label.`;
  if (count !== null && (!Number.isInteger(count) || count < 1 || count > MOST_PIECES)) return `${count} pieces is no count. Type a whole number from 1.`;
  if (weight_g !== null && (weight_g < 0 || weight_g > HEAVIEST_G)) return `${weight_g} g lies outside 0 to ${HEAVIEST_G} g. Check the scale.`;
  return '';
}

/**
 * The body of a fragment's entry; what was left open is left out.
 * @param {object} stated
 * @param {string} stated.bag
 * @param {string} stated.cell
 * @param {string} stated.found_on ISO date
 * @param {string} [stated.place_below]
 * @param {string} [stated.layer]
 * @param {number | null} [stated.count]
 * @param {number | null} [stated.weight_g]
 * @param {string} [stated.suspected_source]
 * @param {string[]} [stated.photographs]
 * @param {string | null} [stated.session]
 * @param {string} [stated.note]
 */
export function fragmentBody({ bag, cell, found_on, count = null, weight_g = null, photographs = [], session = null, ...texts }) {
  const said = Object.entries(texts).map(([name, text]) => [name, text.trim()]).filter(([, text]) => text);
  return {
    bag: bag.trim(), cell, found_on, ...Object.fromEntries(said),
    ...(count === null ? {} : { count }), ...(weight_g === null ? {} : { weight_g }),
    ...(photographs.length ? { photographs } : {}), ...(session ? { session } : {}),
  };
}
