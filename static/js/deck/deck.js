/**
 * What holds the parts of the deck page together? One object that every screen is given: store, plan, record, log, sync,
 * controls and the way from screen to screen. It holds no rule of the survey.
 */
import { fill } from '../shared/dom.js';
import { TermMarks } from '../wall/marks.js';
import { WallPlan } from '../wall/plan.js';
import { Store } from '../wall/state.js';
import { Banners } from './banners.js';
import { Controls } from './controls.js';
import { DeckPlate } from './drawing/deck_plate.js';
import { Head } from './head.js';
import { SCREENS, STARTERS } from './screens.js';
import { initialState } from './state.js';
import { downloadWork } from './status/work_file.js';

/** @typedef {import('./screens.js').Screen} Screen */
/** @typedef {{screen: string, params: any}} Step */
/** @typedef {import('./prepare/pack_store.js').KeptPack} KeptPack */

const SAID_FOR_MS = 8000;
const LONGEST_WAY_BACK = 20;

export class Deck {
  /**
   * @param {object} parts
   * @param {import('./core/disk.js').Disk} parts.disk
   * @param {import('./core/platform.js').Platform} parts.platform
   * @param {import('./core/log.js').TabletLog} parts.log
   * @param {import('./settings.js').DeckSettings} parts.settings
   * @param {KeptPack | null} parts.kept the pack on this tablet, if it was prepared
   * @param {string} parts.storeName of the disk's database
   * @param {(name: string) => import('./core/disk.js').Disk} parts.openDisk opens another survey's store
   * @param {Record<'head' | 'where' | 'saved' | 'buttons' | 'signal' | 'stop' | 'banner' | 'body' | 'note' | 'map' | 'said' | 'main' | 'panel' | 'others' | 'full', HTMLElement>} parts.places
   */
  constructor({ disk, platform, log, settings, kept, storeName, openDisk, places }) {
    this.disk = disk;
    this.storeName = storeName;
    this.openDisk = openDisk;
    this.platform = platform;
    this.log = log;
    this.settings = settings;
    this.pack = kept?.pack ?? null;
    this.pictures = kept?.pictures ?? [];
    this.places = places;
    this.controls = new Controls({ main: places.main, others: places.others, panel: places.panel });
    this.head = new Head(places);
    this.banners = new Banners(places.banner);
    const boot = this.pack?.boot ?? null;
    this.plan = boot ? new WallPlan(boot) : /** @type {any} */ (null);
    this.marks = boot ? new TermMarks(boot.terms) : /** @type {any} */ (null);
    this.store = new Store(initialState({ hand: settings.get('hand'), mode: boot?.survey.modes[0] ?? 'normal', cell: this.pack?.due[0] ?? this.plan?.labels[0] ?? '' }));
    this.plate = boot ? new DeckPlate({ target: places.map, plan: this.plan, marks: this.marks, pictures: this.pictures }) : /** @type {any} */ (null);
    /** @type {import('./record.js').DeckRecord} set by the page once it is read */
    this.record = /** @type {any} */ (null);
    /** @type {import('./drawing/draft_keeper.js').DraftKeeper} these three are set as the drawing starts */
    this.drafts = /** @type {any} */ (null);
    /** @type {import('./drawing/pen_work.js').PenWork} */
    this.pen = /** @type {any} */ (null);
    /** @type {import('../wall/drawing.js').Drawing} */
    this.drawing = /** @type {any} */ (null);
    /** @type {import('./core/sync.js').Sync} set by the page when this tablet is enrolled */
    this.sync = /** @type {any} */ (null);
    /** @type {import('./drawing/draft_keeper.js').DraftKeeper} set when the drawing starts, as are the next two */
    this.drafts = /** @type {any} */ (null);
    /** @type {import('./drawing/pen_work.js').PenWork} */
    this.pen = /** @type {any} */ (null);
    /** @type {import('../wall/drawing.js').Drawing} */
    this.drawing = /** @type {any} */ (null);
    /** @type {Map<string, Screen>} */
    this.screens = new Map();
    /** @type {Step[]} */
    this.way = [];
    this.pending = 0;
    this.shellVersion = '';
    /** @type {{state: 'saved' | 'saving' | 'trouble' | '', message: string}} */
    this.savedWords = { state: '', message: '' };
    /** @type {(() => void) | null} */
    this.endSaying = null;
    this.listen();
  }

  /** Start what runs beside the screens, then show the first one. */
  async start() {
    if (this.pack) for (const starter of STARTERS) await starter(this);
    if (!this.store.state.screen) await this.go(this.firstScreen());
  }

  /** @returns {string} */
  firstScreen() {
    if (!this.pack) return 'prepare';
    return this.store.state.session ? 'walk' : 'open';
  }

  /**
   * Show a screen; the one shown before is left. Going where one is enters it again.
   * @param {string} name
   * @param {any} [params]
   */
  async go(name, params = undefined) {
    this.way.push({ screen: name, params });
    if (this.way.length > LONGEST_WAY_BACK) this.way.shift();
    await this.show(name, params);
  }

  /** Show the screen before this one, with what it was given. */
  async back() {
    this.way.pop();
    const before = this.way[this.way.length - 1] ?? { screen: this.firstScreen(), params: undefined };
    if (!this.way.length) this.way.push(before);
    await this.show(before.screen, before.params);
  }

  /** @private @param {string} name @param {any} params */
  async show(name, params) {
    const ScreenClass = SCREENS[name];
    if (!ScreenClass) throw new RangeError(`The deck page has no screen "${name}".`);
    const left = this.store.state.screen ? this.screens.get(this.store.state.screen) : null;
    left?.leave();
    const screen = this.screens.get(name) ?? new ScreenClass(this);
    this.screens.set(name, screen);
    const { full, note } = this.places;
    full.hidden = !ScreenClass.full;
    fill(full, ScreenClass.full ? screen.element : null);
    fill(note, ScreenClass.full ? null : screen.element);
    full.scrollTop = 0;
    if (this.places.said.classList.contains('is-error')) this.say('');
    this.store.set({ screen: name });
    await screen.enter(params);
    this.plate?.map.updateSize();
  }

  /**
   * Say one sentence about what was just done; a screen's error stays until the next sentence.
   * @param {string} message
   * @param {'ok' | 'error' | 'info'} [kind]
   */
  say(message, kind = 'info') {
    const { said } = this.places;
    said.className = `deck-said is-${kind}`;
    fill(said, message);
    this.endSaying?.();
    this.endSaying = message && kind !== 'error' ? this.platform.later(() => fill(said), SAID_FOR_MS) : null;
  }

  /**
   * Do work that keeps something on the disk: "Saving" at once, "Saved on this tablet" only when it has resolved.
   * @param {() => Promise<any>} work
   * @returns {Promise<boolean>} whether it was kept; when not, the head says what to do
   */
  async keep(work) {
    this.pending += 1;
    this.showSaved('saving', 'Saving…');
    try {
      await work();
      this.pending -= 1;
      if (!this.pending) this.showSaved('saved', 'Saved on this tablet');
      // The disk takes again what it is given; the banner goes only when nothing said before is missing from it.
      if (!this.log.memory.unwritten.size && !this.log.memory.photographs.size) this.banners.set('disk', null);
      return true;
    } catch (error) {
      this.pending -= 1;
      const why = error instanceof Error ? error.message : String(error);
      this.showSaved('trouble', 'NOT saved: why and what to do stands below');
      this.say(why.startsWith('NOT ') ? why : `NOT saved: ${why}`, 'error');
      return false;
    }
  }

  /** @param {'saved' | 'saving' | 'trouble' | ''} state @param {string} message */
  showSaved(state, message) {
    this.savedWords = { state, message };
    this.head.showSaved(state, message);
  }

  /** The disk refused twice: say so until it is seen to. @param {Error} error */
  diskTrouble(error) {
    this.banners.set('disk', {
      kind: 'error', message: `NOT saved: ${error.message} Download your work now, then free room on this tablet or close its other pages.`,
      actions: [{ label: 'Download my work', act: () => void downloadWork(this) }],
    });
  }

  /** @param {'left' | 'right'} hand the hand that holds the pen */
  async setHand(hand) {
    this.store.set({ hand });
    await this.keep(() => this.settings.set('hand', hand));
  }

  /** @private */
  listen() {
    this.places.stop.addEventListener('click', () => void this.go('stop'));
    this.places.signal.addEventListener('click', () => void this.go('tablet'));
    this.store.watch(['hand'], ({ hand }) => { document.body.dataset.hand = hand; });
    this.store.watch(['screen', 'cell', 'mode'], ({ screen, cell, mode }) => {
      this.head.showWhere({ survey: this.pack?.boot.survey.code ?? null, cell, mode, title: screen ? SCREENS[screen].title : '' });
    });
  }
}
