/**
 * What stands before everyone's eyes before a session opens, and what is checked each day? Common practice, no source;
 * it is no safety plan and no inspection.
 */

export const GOVERNING = 'Local law, the site plan and licensed trades govern. This list is not a safety plan.';

/** @type {{heading: string, sentences: string[]}[]} */
export const DECK_CAUTIONS = [
  { heading: 'Scaffold', sentences: ['Climb only a scaffold that is tagged and was inspected by a competent person for this shift.', 'Alter nothing on it, and never reach past the guard-rail.'] },
  { heading: 'Not alone', sentences: ['Nobody works alone with solvent, under ultraviolet or out of hours. Agree the times to call in.', 'When unsure, leave the deck first and ask from the floor.'] },
  { heading: 'Air', sentences: ['A sealed enclosure can become a confined space: ventilate, small quantities, no ignition, a watcher outside.', 'A cartridge must match the vapour; a dust mask stops none.'] },
  { heading: 'Dust', sentences: ['Dust may hold lead, arsenic, chromium or asbestos: test first, no dry sweeping, wash before eating.', 'Debris is photographed where it lies before anything is swept.', 'A respirator, even a disposable one, must be fitted to its wearer.'] },
  { heading: 'Light', sentences: ['Lamps are cool, guarded, on low voltage or earth-fault protected, and off when nobody is by them.', 'Under ultraviolet: goggles, skin covered, the others warned.'] },
  { heading: 'Animals', sentences: ['Leave droppings undisturbed and report them; leaving them may be best.'] },
];

/** Things checked each day, by the code of the entry. @type {{what: string, name: string, ask: string}[]} */
export const DAILY_CHECKS = [
  { what: 'scaffold-tag', name: 'Scaffold tag', ask: 'Tag in place and in date' },
  { what: 'seals', name: 'Seals', ask: 'Enclosure closed, no sheet touching paint' },
  { what: 'trays', name: 'Trays', ask: 'In place, their debris photographed' },
  { what: 'drips', name: 'Drips', ask: 'No water at head or floor' },
  { what: 'filters', name: 'Filters', ask: 'Running, pressure read' },
  { what: 'guards', name: 'Guards', ask: 'Rails and toe-boards in place' },
  { what: 'lights', name: 'Lights', ask: 'Guarded, cables off the boards' },
];

export const NO_INSPECTION = 'This is no scaffold inspection: that is made by a competent person. What is not in order is reported before anyone works here.';

/** @type {{value: 'in-order' | 'not-in-order' | 'not-checked', text: string}[]} */
export const CHECK_STATES = [{ value: 'in-order', text: 'In order' }, { value: 'not-in-order', text: 'Not in order' }, { value: 'not-checked', text: 'Not checked' }];

/** What is counted and put out before the deck is left. @type {{key: string, text: string}[]} */
export const LEAVING_CHECKS = [
  { key: 'lamps', text: 'All lamps are off' }, { key: 'tools', text: 'Tools counted: as many as came up' },
  { key: 'debris', text: 'Debris photographed before it was swept, or none lay there' },
];

/** Why a part cannot be seen; each a button of its own. */
export const HIDDEN_CAUSES = ['deck boards', 'standard', 'ledger', 'toe-board', 'sheeting', 'facing', 'dust', 'glare', 'shadow', 'out of reach'];

/** Why a whole cell is left out. */
export const NOT_EXAMINED_CAUSES = ['sheeted', 'no safe access', 'lamp failed', 'works stopped', 'no time left'];
