/**
 * Did the browser clear what this tablet held? A line kept apart from the store says what was there; when the store is empty
 * and the line is not, the page says so at once, for a page that began anew in silence would look as if all were well.
 */

const KEY = 'pontata-deck-held';

/** @typedef {{store: string, name: string, survey: string, waiting: number}} Held */

/** Keep the line as things stand. @param {Storage} storage @param {Held} held */
export function noteHeld(storage, held) {
  const text = JSON.stringify(held);
  if (storage.getItem(KEY) !== text) storage.setItem(KEY, text);
}

/**
 * What was cleared, or null.
 * @param {Storage} storage
 * @param {{store: string, isEnrolled: boolean}} found
 * @returns {Held | null}
 */
export function clearedOf(storage, { store, isEnrolled }) {
  const text = storage.getItem(KEY);
  if (isEnrolled || !text) return null;
  const held = JSON.parse(text);
  return held.store === store ? held : null;
}

/** It was read: do not say it again. @param {Storage} storage */
export function forgetHeld(storage) {
  storage.removeItem(KEY);
}

/** @param {Held} held */
export function clearedText({ name, survey, waiting }) {
  const lost = waiting ? `${waiting.toLocaleString('en-US')} entries and photographs had not been sent when it was last seen` : 'everything had been sent when it was last seen';
  return `The browser has cleared what ${name} held for survey ${survey}; ${lost}. Tell the lead conservator before this tablet is prepared again.`;
}
