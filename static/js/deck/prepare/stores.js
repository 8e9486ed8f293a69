/**
 * Which of the stores on this tablet is open? Each survey has one of its own, so that no survey's work stands in another's way.
 */

const POINTER = 'pontata-deck-store';
export const FIRST_STORE = 'pontata-deck';

/** @param {Storage} storage */
export function openStoreName(storage) {
  return storage.getItem(POINTER) ?? FIRST_STORE;
}

/** The page opens this one from now on. @param {Storage} storage @param {string} name */
export function pointAt(storage, name) {
  storage.setItem(POINTER, name);
}

/** @param {string} device the tablet's id on the server */
export function storeNameFor(device) {
  return `${FIRST_STORE}-${device}`;
}

/** The other stores of this page. @param {IDBFactory} factory @param {string} open @returns {Promise<string[]>} */
export async function otherStores(factory, open) {
  if (!factory.databases) return [];
  const names = (await factory.databases()).map(({ name }) => name ?? '');
  return names.filter((name) => name !== open && (name === FIRST_STORE || name.startsWith(`${FIRST_STORE}-`)));
}
