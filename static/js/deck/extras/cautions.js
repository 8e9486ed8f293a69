/**
 * Which caution stands beside a thing at the moment it is used? Common practice, no source; it is no safety plan.
 */

export const STOP_CAUTIONS = [
  'In danger leave the deck first, then fill in this card.',
  'The siren of the instrument and the alarm of the site govern. This card rings nobody and stops no machine.',
];
export const DEBRIS_CAUTIONS = [
  'Photograph every piece where it lies before anyone touches it; sweep only after that.',
  'Dust may hold lead, arsenic, chromium or asbestos: no dry sweeping, gloves, wash before eating.',
  'Leave droppings undisturbed and report them; leaving them may be best.',
];
export const PHOTOGRAPH_CAUTION = 'Photograph before touching. A photograph of this tablet is a note; the record camera makes the record.';

/** @param {string} mode @param {string} [setting] @returns {string[]} */
export function lampCautions(mode, setting = '') {
  const ultraviolet = mode === 'uv' || /ultraviolet|\buv\b/i.test(setting);
  return [
    ...(ultraviolet ? ['Ultraviolet: goggles on, skin covered, the others warned, and never alone. Count the minutes.'] : []),
    'Keep lamps cool and away from the paint, guarded, and their cables off the boards.',
    'Lamps off when nobody is by them.',
  ];
}
