/**
 * Which session is open on this tablet, and how is it changed? Every change is a whole entry after the last one; changes
 * stand in line, so that two quick ones never become a conflict of a tablet with itself.
 */

/** @typedef {import('./deck.js').Deck} Deck */
/**
 * The body of the last entry with the id of the session and of that entry.
 * @typedef {{id: string, entry: string} & Record<string, any>} Session
 * @typedef {Record<string, any>} SessionBody
 */

/** @type {WeakMap<Deck, Promise<any>>} what stands in line for each page */
const lines = new WeakMap();

/** The open session, or null. @param {Deck} deck @returns {Session | null} */
export function currentSession(deck) {
  const { session } = deck.store.state;
  return session && session.state === 'open' ? session : null;
}

/** What the record adds to the body of an entry. */
const OF_THE_RECORD = ['id', 'entry', 'kind', 'conflict'];

/** What a session states, without what the record adds. @param {Session} session @returns {SessionBody} */
export function bodyOf(session) {
  return Object.fromEntries(Object.entries(session).filter(([key]) => !OF_THE_RECORD.includes(key)));
}

/**
 * Begin a session; resolves when its entry is on the disk.
 * @param {Deck} deck
 * @param {SessionBody} body
 * @returns {Promise<Session>}
 */
export function openSession(deck, body) {
  return inLine(deck, () => state(deck, { id: deck.platform.uuid7(), body }));
}

/**
 * State the open session anew with something changed; a key that becomes undefined is left out. Resolves when the entry
 * is on the disk, with null when no session is open.
 * @param {Deck} deck
 * @param {SessionBody | ((body: SessionBody) => SessionBody)} change what is other, or how to find it from what stands
 * @returns {Promise<Session | null>}
 */
export function changeSession(deck, change) {
  return inLine(deck, async () => {
    const session = currentSession(deck);
    if (!session) return null;
    const before = bodyOf(session);
    const patch = typeof change === 'function' ? change(before) : change;
    const body = Object.fromEntries(Object.entries({ ...before, ...patch }).filter(([, value]) => value !== undefined));
    if (JSON.stringify(body) === JSON.stringify(before)) return session;
    return state(deck, { id: session.id, body });
  });
}

/** @template T @param {Deck} deck @param {() => Promise<T>} work @returns {Promise<T>} */
function inLine(deck, work) {
  const turn = (lines.get(deck) ?? Promise.resolve()).catch(() => {}).then(work);
  lines.set(deck, turn);
  return turn;
}

/** It comes after every change of the session that this tablet knows. @param {Deck} deck @param {{id: string, body: SessionBody}} options @returns {Promise<Session>} */
async function state(deck, { id, body }) {
  const entry = await deck.record.say('session', body, { objectId: id });
  const session = { ...body, id, entry: entry.id };
  deck.store.set({ session });
  return session;
}
