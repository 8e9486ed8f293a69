/**
 * Which photographs were made with this tablet in this session, and how many more can be? The camera, the notes, the room left.
 */
import { choiceRow } from '../../shared/controls.js';
import { fill, make } from '../../shared/dom.js';
import { cameraControl } from './camera.js';
import { PHOTOGRAPH_CAUTION } from './cautions.js';
import { clock } from './clock.js';
import { liveText, part } from './form_parts.js';
import { keptHere } from './kept_here.js';
import { noteHead } from './note_tabs.js';
import { roomForPhotographs } from './photograph_room.js';
import { Thumbnail } from './thumbnail.js';

export class PhotoScreen {
  static title = 'Photograph';
  static full = true;

  /** @param {import('../deck.js').Deck} deck */
  constructor(deck) {
    this.deck = deck;
    this.element = make('section', { class: 'deck-screen is-full photo-screen', 'aria-label': PhotoScreen.title });
    this.note = '';
    this.attach = true;
    this.room = make('p', { role: 'status' });
    this.list = make('div', {});
    /** @type {Thumbnail[]} */
    this.thumbnails = [];
  }

  /** @param {{note?: string}} [params] */
  async enter(params) {
    this.deck.controls.show({});
    this.note = params?.note ?? '';
    this.attach = Boolean(this.outline);
    fill(this.element,
      noteHead(this.deck, { screen: 'photo', title: `Photograph of ${this.deck.store.state.cell}` }),
      make('p', {}, PHOTOGRAPH_CAUTION),
      make('div', { class: 'card-columns' },
        make('div', {}, cameraControl(this.deck, { label: 'Open the camera', accent: true, note: () => this.note, onKept: (kept) => this.taken(kept) }), this.room),
        make('div', {}, this.attachChoice(), liveText({ label: 'What it shows', value: this.note, onInput: (text) => { this.note = text; }, attributes: { maxlength: 500 } }))),
      part('Notes of this session', this.list));
    await Promise.all([this.showRoom(), this.showList()]);
  }

  leave() {
    for (const thumbnail of this.thumbnails) thumbnail.close();
    this.thumbnails = [];
  }

  /** @private the outline under the pen, once it has a point */
  get outline() {
    const { draft } = this.deck.store.state;
    return draft && !draft.isEmpty && draft.purpose === 'outline' ? draft : null;
  }

  /** @private */
  attachChoice() {
    if (!this.outline) return null;
    return choiceRow({ label: 'Belongs to', required: true, value: this.attach, onChange: (value) => { this.attach = Boolean(value); },
      choices: [{ value: true, text: 'The open outline' }, { value: false, text: 'The cell only' }] });
  }

  /** @private @param {import('./camera.js').KeptPhotograph} kept */
  taken({ digest }) {
    const draft = this.attach ? this.outline : null;
    if (draft) {
      draft.stated.photographs = [...new Set([...(draft.stated.photographs ?? []), digest])];
      this.deck.store.step('draftStep');
    }
    this.deck.say(draft ? 'Photograph kept with the open outline.' : `Photograph kept for ${this.deck.store.state.cell}.`, 'ok');
    void this.showRoom();
    void this.showList();
  }

  /** @private */
  async showRoom() {
    fill(this.room, await roomForPhotographs(this.deck));
  }

  /** @private */
  async showList() {
    this.leave();
    const notes = await keptHere(this.deck, 'photograph');
    if (!notes.length) return void fill(this.list, make('p', { class: 'muted' }, 'Photographs stand here once one is taken.'));
    this.thumbnails = notes.map(({ body }) => new Thumbnail(this.deck, body.digest, body.note ?? 'Photograph'));
    fill(this.list, make('ul', { class: 'thumbnail-list' }, notes.map(({ body, made_at }, index) => make('li', {}, this.thumbnails[index].element, make('p', {}, `${clock(made_at)} ${body.note ?? ''}`)))));
    await Promise.all(this.thumbnails.map((thumbnail) => thumbnail.show()));
  }
}
