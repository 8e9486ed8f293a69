/**
 * Which controls does a draft need now, and what is to be done next? Pure choices from the draft and the page's state.
 */

/** @typedef {import('../../wall/draft.js').Draft} Draft */
/** @typedef {import('../controls.js').Control} Control */
/** @typedef {{freehand: boolean, penSeen: boolean, cell: string}} State */

/**
 * @param {object} options
 * @param {Draft} options.draft
 * @param {State} options.state
 * @param {import('./draw_screen.js').DrawScreen} options.screen
 * @returns {{main: Control[], others: Control[]}}
 */
export function draftControls({ draft, state, screen }) {
  return { main: mainControls(draft, screen), others: otherControls(draft, state, screen) };
}

/** @param {Draft} draft @param {import('./draw_screen.js').DrawScreen} screen @returns {Control[]} */
function mainControls(draft, screen) {
  const { pen } = screen;
  const untouched = draft.isEmpty && !draft.history.canRedo;
  return [
    { id: 'undo', label: untouched ? 'Undo' : 'Undo point', disabled: !untouched && !draft.history.canUndo, act: () => void pen.undo() },
    { id: 'redo', label: 'Redo', disabled: !untouched && !draft.history.canRedo, act: () => void pen.redo() },
    thirdControl(draft, screen),
    { id: 'put-down', label: draft.purpose === 'outline' ? 'Put down outline' : 'Take this part', kind: 'accent', disabled: !draft.canPutDown, act: () => void screen.putDown() },
  ];
}

/** What the third place is for: end the line, go on with a finished shape, or go back. @param {Draft} draft @param {import('./draw_screen.js').DrawScreen} screen @returns {Control} */
function thirdControl(draft, screen) {
  if (draft.sketch.length) {
    const closes = draft.kind === 'area' && draft.role !== 'edge';
    return { id: 'close', label: closes ? 'Close outline' : draft.role === 'edge' ? 'End edge' : 'End line', disabled: !draft.canFinish, act: () => void draft.finish() };
  }
  if (draft.adding) return { id: 'stop-adding', label: 'Move points instead', act: () => draft.stopAdding() };
  if (draft.geometry && draft.kind !== 'point') return { id: 'grow', label: draft.kind === 'area' ? 'Grow an edge' : 'Go on from an end', act: () => draft.addNext('edge') };
  return screen.backControl();
}

/** @param {Draft} draft @param {State} state @param {import('./draw_screen.js').DrawScreen} screen @returns {Control[]} */
function otherControls(draft, state, screen) {
  const { store, plate, plan } = screen.deck;
  const isOutline = draft.purpose === 'outline';
  return [
    canBeShaped(draft) ? { id: 'shape', label: screen.shapes ? 'Shape done' : 'Shape…', pressed: screen.shapes, act: () => screen.setShapes(!screen.shapes) } : handControl(state, store),
    ...(isOutline ? [{ id: 'say-more', label: screen.statements.saysMore ? 'Say less' : 'Say more', pressed: screen.statements.saysMore, act: () => screen.sayMore() }] : []),
    { id: 'nearer', label: 'Nearer', act: () => plate.zoomBy(1) },
    { id: 'cell-view', label: `All of ${state.cell}`, act: () => plate.fit(plan.bounds(state.cell), true) },
    ...(draft.isEmpty ? [] : [{ id: 'aside', label: 'Put aside', act: () => void screen.putAside() }]),
  ];
}

/** Whether a finished shape stands to which something can be added. @param {Draft} draft */
export function canBeShaped(draft) {
  return draft.kind !== 'point' && draft.geometry !== null && draft.sketch.length === 0;
}

/** Who draws: the pen alone, or fingers by taps or held. @param {State} state @param {import('../../wall/state.js').Store<any>} store @returns {Control} */
function handControl({ penSeen, freehand }, store) {
  if (penSeen) return { id: 'fingers', label: 'Let fingers draw', act: () => store.set({ penSeen: false }) };
  return { id: 'freehand', label: 'Freehand', pressed: freehand, act: () => store.set({ freehand: !freehand }) };
}

/** What can be added to a finished shape, or taken out of it. @param {Draft} draft @param {import('./draw_screen.js').DrawScreen} screen @returns {Control[]} */
export function shapeControls(draft, screen) {
  const { drawing } = screen.deck;
  const next = (/** @type {'part' | 'hole'} */ role) => () => { screen.setShapes(false); draft.addNext(role); };
  const hole = draft.kind === 'area' ? [{ id: 'hole', label: 'Cut a hole', act: next('hole') }] : [];
  return [...hole,
    { id: 'part', label: draft.kind === 'line' ? 'Further line' : 'Further part', act: next('part') },
    { id: 'take-out', label: 'Take out points', pressed: drawing.removing, act: () => drawing.setRemoving(!drawing.removing) }];
}

/** What to do next, in one sentence. @param {Draft} draft @param {State} state */
export function draftSentence(draft, state) {
  if (draft.sketch.length) return sketchSentence(draft);
  if (draft.role === 'hole' && draft.adding) return 'Draw around the sound part inside.';
  if (draft.role === 'edge' && draft.adding) return draft.kind === 'line' ? 'Tap on from the end that grew.' : 'Draw only the edge that grew: begin and end on the old line.';
  if (!draft.isAdding) return 'Drag a point to move it, or put it down.';
  if (state.penSeen) return 'Draw with the pen; fingers move the wall.';
  if (state.freehand) return 'Draw with a held finger.';
  return { area: 'Tap around it.', line: 'Tap along it.', point: 'Tap each place.' }[draft.kind];
}

/** @param {Draft} draft */
function sketchSentence(draft) {
  const count = `${draft.sketch.length} ${draft.sketch.length === 1 ? 'point' : 'points'}.`;
  if (!draft.canFinish) return count;
  return draft.kind === 'area' && draft.role !== 'edge' ? `${count} Put down closes it.` : `${count} Put down ends it.`;
}
