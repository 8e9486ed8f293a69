/**
 * Which slates were shown, when, and under which number? Kept on the tablet's disk at once, and put into the session's note
 * when the slate is left, so that the record camera's frames can be sorted by them.
 */
import { madeAt } from '../core/canonical.js';
import { joined } from '../round/session_body.js';
import { changeSession, currentSession } from '../session.js';
import { KeptForm } from './kept_form.js';
import { slatesNote } from './slate_text.js';

/** A slate that was only passed by cannot have been photographed. Common practice, no source. */
const SHORTEST_SHOWN_MS = 2_000;

/** @typedef {{number: number, cell: string, mode: string, side: string, from: string, to: string}} Shown */
/** @typedef {{next: number, waiting: Shown[]}} Kept */

export class SlateLog {
  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    /** @type {KeptForm<Kept>} */
    this.form = new KeptForm({ disk: deck.disk, name: 'slate' });
    /** @type {Kept} */
    this.kept = { next: 1, waiting: [] };
    /** @type {Omit<Shown, 'to'> | null} */
    this.showing = null;
  }

  async read() {
    this.kept = await this.form.read() ?? this.kept;
  }

  /** A slate is shown from now on. @param {{cell: string, mode: string, side: string}} slate @returns {number} its number */
  begin({ cell, mode, side }) {
    this.end();
    const number = this.kept.next;
    this.showing = { number, cell, mode, side, from: madeAt(this.deck.platform.now_ms()) };
    this.kept = { ...this.kept, next: number + 1 };
    void this.write();
    return number;
  }

  /** The slate is shown no more. */
  end() {
    if (!this.showing) return;
    const now_ms = this.deck.platform.now_ms();
    const shown = { ...this.showing, to: madeAt(now_ms) };
    this.showing = null;
    if (now_ms - Date.parse(shown.from) < SHORTEST_SHOWN_MS) return;
    this.kept = { ...this.kept, waiting: [...this.kept.waiting, shown] };
    void this.write();
  }

  /** Put what was shown into the note of the open session; without one it waits. */
  async intoSession() {
    const { waiting } = this.kept;
    if (!waiting.length || !currentSession(this.deck)) return;
    const stated = await this.deck.keep(() => changeSession(this.deck, (body) => ({ note: joined(body.note, slatesNote(waiting)) })));
    if (!stated) return;
    this.kept = { ...this.kept, waiting: this.kept.waiting.filter((shown) => !waiting.includes(shown)) };
    await this.write();
  }

  /** @private */
  write() {
    const { kept } = this;
    return this.deck.keep(() => this.form.write(kept));
  }
}
