/**
 * How many more photographs does this tablet take before the room for outlines would be touched?
 */
import { reserveOf } from '../core/photographs.js';
import { keptHere } from './kept_here.js';
import { roomText } from './photograph_note.js';

/** @param {import('../deck.js').Deck} deck @returns {Promise<string>} one sentence */
export async function roomForPhotographs(deck) {
  const room = await deck.platform.room?.() ?? null;
  const notes = await keptHere(deck, 'photograph');
  return roomText({ room_bytes: room ? room.quota - room.usage - reserveOf(room.quota) : null, sizes_bytes: notes.map(({ body }) => body.size_bytes) });
}
