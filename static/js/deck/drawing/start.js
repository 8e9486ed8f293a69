/**
 * What of the drawing must stand from the start? Pen, plate and the draft that was open when the page ended.
 */
import { Drawing } from '../../wall/drawing.js';
import { DraftKeeper } from './draft_keeper.js';
import { VERSION_MARK } from './deck_plate.js';
import { PenWork } from './pen_work.js';

/** Gloved fingers take hold of a point from further away. */
const GRASP_PX = 28;

/** @param {import('../deck.js').Deck} deck */
export async function startDrawing(deck) {
  const { store, plate, plan, disk, platform, settings } = deck;
  const keeper = new DraftKeeper({ disk, platform, keep: (work) => deck.keep(work) });
  deck.drafts = keeper;
  deck.pen = new PenWork(deck, keeper);
  store.set({ penSeen: Boolean(settings.get('penSeen')) });
  deck.drawing = new Drawing({ plate, store, plan, grasp_px: GRASP_PX, endsOnDoubleTap: false, onStroke: (stroke, tolerance_in) => keeper.strokeMoved(stroke, tolerance_in), showStep: (show) => keeper.afterwards(show) });
  store.watch(['draft'], ({ draft, cell, mode }) => keeper.hold(draft, { cell, mode }));
  store.watch(['draftStep'], () => keeper.changed());
  store.watch(['draft', 'draftStep'], ({ draft }) => { plate.holdsStill = Boolean(draft && !draft.isEmpty); });
  store.watch(['penSeen'], ({ penSeen }) => { if (penSeen !== Boolean(settings.get('penSeen'))) void deck.keep(() => settings.set('penSeen', penSeen)); });
  store.watch(['examinationStep'], () => void forgetOfDoneCells(deck, keeper).catch(() => {})); // a disk that fails says so itself
  showOnPlate(deck);
  if (await deck.pen.restore()) {
    await deck.go('draw');
    deck.say('An outline was open; it is as you left it.', 'info');
  }
}

/** @param {import('../deck.js').Deck} deck */
function showOnPlate({ store, plate, plan, record }) {
  store.watch(['recordStep', 'lookStage', 'screen'], ({ lookStage, screen }) => {
    // Where a cell is looked at again blind, that screen alone says what is shown.
    if (screen === 'recheck') return;
    const compares = lookStage === 'compare';
    plate.showOutlines(drawnOf(record).filter((outline) => compares || !outline.continues?.length));
    plate.showPrevious(compares ? record.openPrevious() : []);
  });
  store.watch(['mode'], ({ mode }) => plate.showPicture(mode));
  store.watch(['bay'], ({ bay }) => plate.showBay(bay));
  store.watch(['cell'], ({ cell }) => { if (cell) plate.showCell(plan.bounds(cell)); });
  store.watch(['chosen'], ({ chosen }) => plate.showChosen(chosen ? (chosen.layer === 'own' ? record.outlines : record.previous).get(chosen.id)?.geometry ?? null : null));
  if (store.state.cell) plate.fit(plan.bay(store.state.cell));
}

/** What is drawn of this survey: each outline once, one in conflict in all its versions. @param {import('../record.js').DeckRecord} record */
export function drawnOf(record) {
  return [...record.outlines.values()].flatMap((outline) => {
    if (!outline.conflict) return [outline];
    const others = record.versionsOf(outline.id).filter((version) => version.entry !== outline.entry);
    return [outline, ...others.map((version) => ({ ...version, id: `${version.id}${VERSION_MARK}${version.entry}` }))];
  });
}

/** What was put aside in a cell can be taken up until the cell is done. @param {import('../deck.js').Deck} deck @param {DraftKeeper} keeper */
async function forgetOfDoneCells({ record }, keeper) {
  const done = (/** @type {string} */ cell, /** @type {string} */ mode) => record.examinations.get(`${cell}:${mode}`)?.done;
  const rows = await keeper.others();
  await keeper.forget(rows.filter((row) => row.left && done(row.cell, row.mode)).map((row) => row.id));
}
