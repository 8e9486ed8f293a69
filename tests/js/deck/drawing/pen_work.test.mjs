import assert from 'node:assert/strict';
import { test } from 'node:test';
import { PenWork } from '../../../../static/js/deck/drawing/pen_work.js';
import { TermMarks } from '../../../../static/js/wall/marks.js';
import { continuationId } from '../../../../static/js/wall/statements.js';
import { Store } from '../../../../static/js/wall/state.js';
import { Tablet } from './tablet.mjs';

const SURVEY = { id: '0190a6f2-7a52-7c11-8a01-5f0d2b8d7a10', code: 'W1' };
const TERMS = [{ code: 'paint-loss', name: 'paint loss', geometry: ['area'] }, { code: 'hairline-crack', name: 'hairline crack', geometry: ['line'] }];
const around = [[10, 10], [40, 12], [44, 30], [28, 44], [12, 36]];
const prior = {
  id: '0190a6f2-7a52-7c11-8a01-000000000001', item: 'C17-1', term: 'paint-loss', mode: 'normal', basis: 'drawn', cells: ['C17'], continues: [], condition: 2, urgency: 1, edge: 'dirty', note: 'below the cornice',
  measures: { 'layer shown': 'ground' }, observed_on: '2026-06-16', geometry: { type: 'Polygon', coordinates: [[[0, 0], [10, 0], [10, 10], [0, 10], [0, 0]]] },
};

/** A record that takes what it is given, or refuses. */
class Taken {
  constructor() {
    this.survey = SURVEY;
    this.outlines = new Map();
    this.previous = new Map([[prior.id, prior]]);
    this.puts = [];
    this.refusal = null;
  }

  freeItemName(cell) { return `${cell}-2`; }

  async putDown(put) {
    if (this.refusal) throw this.refusal;
    this.puts.push(structuredClone({ ...put, stated: put.stated }));
    return { ...put.stated };
  }
}

/** @param {Tablet} [tablet] */
function deckOn(tablet = new Tablet()) {
  const page = tablet.open();
  const store = new Store({ draft: null, draftStep: 0, tool: 'choose', term: null, chosen: null, cell: 'C17', mode: 'raking' });
  const said = [];
  const deck = { store, plate: { picture: null }, record: new Taken(), marks: new TermMarks(TERMS), plan: { cellAt: () => 'C17' }, say: (message) => said.push(message), keep: page.keeper.keep };
  const pen = new PenWork(deck, page.keeper);
  store.watch(['draft'], ({ draft, cell, mode }) => page.keeper.hold(draft, { cell, mode }));
  store.watch(['draftStep'], () => page.keeper.changed());
  return { deck, pen, page, store, said };
}

/** @param {any} store */
function tapAround(store) {
  for (const point of around) store.state.draft.addPoint(point);
}

test('five taps and one control put an area down, and the same term is ready again', async () => {
  const { deck, pen, store } = deckOn();
  await pen.takeTerm('paint-loss');
  tapAround(store);

  assert.equal(await pen.putDown(), true);

  const [put] = deck.record.puts;
  assert.equal(put.geometry.coordinates[0].length, around.length + 1);
  assert.deepEqual([put.stated.term, put.stated.mode, put.stated.basis, put.stated.item], ['paint-loss', 'raking', 'drawn', 'C17-2']);
  assert.equal(store.state.draft.stated.term, 'paint-loss');
  assert.equal(store.state.draft.isEmpty, true);
});

test('an outline drawn over a picture of known error states both; its statements alone do not', async () => {
  const { deck, pen, store } = deckOn();
  deck.plate.picture = { id: '0190a6f2-7a52-7c11-8a01-00000000000a', error_in: 0.03, bounds_in: [0, 0, 48, 48] };
  deck.record.outlines.set(prior.id, prior);
  await pen.takeTerm('paint-loss');
  tapAround(store);
  await pen.putDown();
  await pen.correct(prior.id);

  await pen.putDown();

  const [drawn, said] = deck.record.puts.map(({ stated }) => [stated.picture, stated.picture_error_in]);
  assert.deepEqual(drawn, ['0190a6f2-7a52-7c11-8a01-00000000000a', 0.03]);
  assert.deepEqual(said, [undefined, undefined]);
});

test('the draft that is put down is named, so that it is cleared with the entry', async () => {
  const { deck, pen, page, store } = deckOn();
  await pen.takeTerm('paint-loss');
  tapAround(store);
  const { id } = page.keeper;

  await pen.putDown();

  assert.equal(deck.record.puts[0].clearingDraft, id);
});

test('an outline that is not taken stays under the pen and on the disk', async () => {
  const tablet = new Tablet();
  const { deck, pen, page, store } = deckOn(tablet);
  deck.record.refusal = new Error('the disk is full');
  await pen.takeTerm('paint-loss');
  tapAround(store);
  const { draft } = store.state;

  assert.equal(await pen.putDown(), false);

  assert.equal(store.state.draft, draft);
  assert.equal(store.state.tool, 'draw');
  await page.keeper.settled();
  page.kill();
  const found = await tablet.open().keeper.restore();
  assert.deepEqual(found.draft.geometry, draft.geometry);
});

test('two taps on "put down" put it down once', async () => {
  const { deck, pen, store } = deckOn();
  await pen.takeTerm('paint-loss');
  tapAround(store);

  await Promise.all([pen.putDown(), pen.putDown()]);

  assert.equal(deck.record.puts.length, 1);
});

test('an area with two points is not put down, and says how many it needs', async () => {
  const { deck, pen, store, said } = deckOn();
  await pen.takeTerm('paint-loss');
  store.state.draft.addPoint([1, 1]);
  store.state.draft.addPoint([5, 5]);

  assert.equal(await pen.putDown(), false);

  assert.equal(deck.record.puts.length, 0);
  assert.match(said.at(-1), /at least three points; 2 so far/);
});

test('growing takes the old outline as it is and asks only for the edge', async () => {
  const { deck, pen, store } = deckOn();

  await pen.grow(prior);
  [[10, 2], [14, 5], [10, 8]].forEach((point) => store.state.draft.addPoint(point));
  await pen.putDown();

  const [{ stated, objectId, geometry }] = deck.record.puts;
  assert.equal(objectId, continuationId(SURVEY.id, prior.id));
  assert.deepEqual([stated.basis, stated.continues, stated.mode, stated.item], ['edited-copy', [prior.id], 'raking', 'C17-1']);
  for (const corner of prior.geometry.coordinates[0]) assert.ok(geometry.coordinates[0].some((point) => point[0] === corner[0] && point[1] === corner[1]));
});

test('what was said of the old edge and in the old note is not said again of the grown outline', async () => {
  const { pen, store } = deckOn();

  await pen.grow(prior);

  const { stated } = store.state.draft;
  assert.deepEqual([stated.edge, stated.note, stated.observed_on], [undefined, undefined, undefined]);
  assert.equal(stated.condition, 2);
});

test('an outline already answered in this survey grows from its own shape', async () => {
  const { deck, pen, store } = deckOn();
  const id = continuationId(SURVEY.id, prior.id);
  deck.record.outlines.set(id, { ...prior, id, basis: 'seen-no-change', continues: [prior.id], geometry: { type: 'Polygon', coordinates: [[[0, 0], [11, 0], [11, 11], [0, 0]]] } });

  await pen.grow(prior);

  assert.equal(store.state.draft.geometry.coordinates[0][1][0], 11);
  assert.equal(store.state.draft.stated.basis, 'edited-copy');
});

test('what is put aside comes back by undo', async () => {
  const { pen, store } = deckOn();
  await pen.takeTerm('paint-loss');
  tapAround(store);
  await pen.putAside();
  assert.equal(store.state.draft, null);

  await pen.undo();

  assert.deepEqual(store.state.draft.sketch, around);
});

test('a change of term keeps the points and drops what belonged to the other term', async () => {
  const { pen, store } = deckOn();
  await pen.takeTerm('paint-loss');
  tapAround(store);
  store.state.draft.stated.measures = { 'layer shown': 'ground' };
  store.state.draft.stated.edge = 'fresh';

  await pen.takeTerm('paint-loss');
  assert.deepEqual(store.state.draft.stated.measures, { 'layer shown': 'ground' });

  deckTermsWith(pen, { code: 'flaking', name: 'flaking', geometry: ['area'] });
  await pen.takeTerm('flaking');

  assert.equal(store.state.draft.sketch.length, 5);
  assert.deepEqual([store.state.draft.stated.term, store.state.draft.stated.measures, store.state.draft.stated.edge], ['flaking', undefined, 'fresh']);
});

/** @param {any} pen @param {any} term */
function deckTermsWith(pen, term) {
  pen.deck.marks = new TermMarks([...TERMS, term]);
}

test('a term of another kind puts what was begun aside', async () => {
  const { pen, page, store } = deckOn();
  await pen.takeTerm('paint-loss');
  tapAround(store);

  await pen.takeTerm('hairline-crack');

  assert.equal(store.state.draft.kind, 'line');
  const [row] = await page.keeper.others();
  assert.deepEqual([row.stated.term, row.left], ['paint-loss', true]);
});

test('a part of an examination goes to who asked for it and leaves nothing behind', async () => {
  const { pen, page, store } = deckOn();
  const taken = [];
  await pen.part('hidden', (geometry) => taken.push(geometry));
  tapAround(store);

  await pen.putDown();

  assert.equal(taken[0].type, 'Polygon');
  assert.deepEqual(await page.keeper.others(), []);
});

test('a part that nobody waits for any more is taken up where it is asked for again', async () => {
  const tablet = new Tablet();
  const first = deckOn(tablet);
  await first.pen.part('hidden', () => {});
  tapAround(first.store);
  await first.page.keeper.settled();
  first.page.kill();

  const { pen, store, said } = deckOn(tablet);
  await pen.restore();
  assert.equal(await pen.putDown(), false);
  assert.match(said.at(-1), /choose the same again/);
  const taken = [];
  await pen.part('hidden', (geometry) => taken.push(geometry));
  await pen.putDown();

  assert.equal(taken[0].coordinates[0].length, around.length + 1);
  assert.equal(store.state.draft, null);
});
