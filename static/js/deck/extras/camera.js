/**
 * How does a photograph of the tablet's camera become a note? The bytes that the browser hands over are kept as they come;
 * "Saved on this tablet" follows when bytes and entry are on the disk.
 */
import { freshId } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';
import { madeAt } from '../core/canonical.js';
import { currentSession } from '../session.js';
import { burning } from './lamp_words.js';
import { photographBody, pictureKind, refusal } from './photograph_note.js';

/** @typedef {import('../deck.js').Deck} Deck */
/** @typedef {{digest: string, mime: string, size_bytes: number, width_px: number, height_px: number}} KeptPhotograph */

/**
 * A large button that opens the tablet's camera; what is wrong stands below it.
 * @param {Deck} deck
 * @param {object} options
 * @param {string} options.label
 * @param {() => string} [options.note]
 * @param {() => string} [options.cell]
 * @param {boolean} [options.accent] whether it is the one thing to do here
 * @param {(kept: KeptPhotograph) => void} options.onKept after both are on the disk
 */
export function cameraControl(deck, { label, note = () => '', cell = () => deck.store.state.cell, accent = false, onKept }) {
  const id = freshId('camera');
  const error = make('p', { class: 'field-error', role: 'alert', id: `${id}-error` });
  const input = make('input', { id, class: 'visually-hidden', type: 'file', accept: 'image/*', capture: 'environment', 'aria-describedby': error.id });
  input.addEventListener('change', async () => {
    const [file] = input.files ?? [];
    if (!file) return;
    error.textContent = '';
    try {
      const kept = await takeNote(deck, file, { note: note(), cell: cell() });
      if (kept) onKept(kept);
    } catch (problem) {
      fill(error, problem instanceof Error ? problem.message : String(problem));
    } finally {
      input.value = '';
    }
  });
  return make('div', { class: 'camera-control' }, input, make('label', { for: id, class: `button camera-button${accent ? ' button-accent' : ''}` }, label), error);
}

/**
 * Keep a photograph with what is said of it; null when the disk refused, which the head says.
 * @param {Deck} deck
 * @param {File} file
 * @param {{note: string, cell: string}} about
 * @returns {Promise<KeptPhotograph | null>}
 */
export async function takeNote(deck, file, { note, cell }) {
  const bytes = await file.arrayBuffer();
  const kind = pictureKind(bytes);
  const size = kind ? await sizeOf(bytes, kind) : null;
  if (!kind || !size) throw new Error(refusal({ name: file.name, size_bytes: bytes.byteLength, kind }));
  /** @type {KeptPhotograph | null} */
  let kept = null;
  await deck.keep(async () => {
    const digest = await deck.log.keepPhotograph({ bytes, mime: kind });
    const lamp = burning(currentSession(deck)?.lamps ?? []);
    const taken_at = madeAt(deck.platform.now_ms());
    const stated = { digest, mime: kind, size_bytes: bytes.byteLength, ...size };
    const body = photographBody({ ...stated, cell, mode: deck.store.state.mode, lamp_side: lamp?.side, taken_at, operator: deck.record.author.observed_by, note });
    await deck.record.say('photograph', body);
    kept = stated;
  });
  return kept;
}

/** @param {ArrayBuffer} bytes @param {string} mime @returns {Promise<{width_px: number, height_px: number} | null>} null when it cannot be read */
async function sizeOf(bytes, mime) {
  try {
    const picture = await createImageBitmap(new Blob([bytes], { type: mime }));
    const size = { width_px: picture.width, height_px: picture.height };
    picture.close();
    return size;
  } catch {
    return null;
  }
}
