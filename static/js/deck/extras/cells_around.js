/**
 * Which cells are offered to be tapped: those in any case wanted, and the neighbours of some? Pure.
 */

/**
 * @param {{labels: string[], neighbour: (label: string, right: number, up: number) => string}} plan
 * @param {string[]} middles
 * @param {string[]} [others] cells that are offered in any case
 * @returns {string[]} in reading order
 */
export function cellsAround(plan, middles, others = []) {
  const wanted = new Set(others);
  for (const middle of middles.filter((label) => plan.labels.includes(label))) {
    for (const right of [-1, 0, 1]) for (const up of [-1, 0, 1]) wanted.add(plan.neighbour(middle, right, up));
  }
  return plan.labels.filter((label) => wanted.has(label));
}
