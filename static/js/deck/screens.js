/**
 * Which screens does the deck page have, and what starts beside them? Names to classes; each is made when first shown.
 */
import { startDrawing } from './drawing/start.js';
import { DrawScreen } from './drawing/draw_screen.js';
import { FragmentScreen } from './extras/fragment_screen.js';
import { LampScreen } from './extras/lamp_screen.js';
import { PhotoScreen } from './extras/photo_screen.js';
import { ReadingScreen } from './extras/reading_screen.js';
import { SlateScreen } from './extras/slate_screen.js';
import { startExtras } from './extras/start.js';
import { StopScreen } from './extras/stop_screen.js';
import { PrepareScreen } from './prepare/prepare_screen.js';
import { CellScreen } from './round/cell_screen.js';
import { DoneScreen } from './round/done_screen.js';
import { OpenScreen } from './round/open_screen.js';
import { RecheckScreen } from './round/recheck_screen.js';
import { SignScreen } from './round/sign_screen.js';
import { startRound } from './round/start.js';
import { WalkScreen } from './round/walk_screen.js';
import { TabletScreen } from './status/tablet_screen.js';

/**
 * @typedef {object} Screen
 * @property {HTMLElement} element a section.deck-screen
 * @property {(params?: any) => void | Promise<void>} enter shown: build what it shows and its controls
 * @property {() => void} leave
 *
 * @typedef {{new (deck: import('./deck.js').Deck): Screen, title: string, full?: boolean}} ScreenClass
 */

/** @type {Record<string, ScreenClass>} */
export const SCREENS = {
  prepare: PrepareScreen, tablet: TabletScreen,
  open: OpenScreen, walk: WalkScreen, cell: CellScreen, done: DoneScreen, recheck: RecheckScreen, sign: SignScreen,
  draw: DrawScreen,
  stop: StopScreen, slate: SlateScreen, photo: PhotoScreen, reading: ReadingScreen, fragment: FragmentScreen, lamp: LampScreen,
};

/** Called once when pack, record and plate stand, in this order; may be asynchronous. @type {((deck: import('./deck.js').Deck) => void | Promise<void>)[]} */
export const STARTERS = [startRound, startDrawing, startExtras];
