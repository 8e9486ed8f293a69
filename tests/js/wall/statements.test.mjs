import assert from 'node:assert/strict';
import { test } from 'node:test';
import { draftFromLayout, draftFromRecord, examinationBody } from '../../../static/js/wall/examination_draft.js';
import { drawnOver, freeItemName, observationBody, statedOf } from '../../../static/js/wall/statements.js';
import { countWord, doneSentence, errorText } from '../../../static/js/wall/words.js';

const survey = { layout: 3, vocabulary: 2 };
const geometry = { type: 'Polygon', coordinates: [[[0, 0], [1, 0], [1, 1], [0, 0]]] };
const cell = [0, 0, 24, 24];

test('what was not stated is not in the body', () => {
  const body = observationBody({ survey, geometry, stated: { term: 'paint-loss', item: 'C17-1', mode: 'normal', observed_on: '2026-11-18', note: '', measures: {}, activity: null, condition: null } });

  assert.deepEqual(Object.keys(body).sort(), ['basis', 'geometry', 'item', 'layout', 'mode', 'observed_on', 'term', 'vocabulary']);
});

test('condition 0 is a statement and stays', () => {
  const body = observationBody({ survey, geometry, stated: { term: 'dust', item: 'A01-1', mode: 'normal', observed_on: '2026-11-18', condition: 0, urgency: 0 } });

  assert.equal(body.condition, 0);
  assert.equal(body.urgency, 0);
});

test('a correction starts from everything that stands', () => {
  const outline = { id: 'o', entry: 'e', term: 'stain', item: 'L1', mode: 'raking', basis: 'drawn', cells: [], continues: ['p'], measures: { height: 4 }, note: 'brown', debris: 'sand', conflict: false, geometry };

  const body = observationBody({ survey, geometry, stated: statedOf(outline) });

  assert.deepEqual([body.measures, body.note, body.debris, body.continues, body.mode], [{ height: 4 }, 'brown', 'sand', ['p'], 'raking']);
});

test('a new item takes the next number of its cell', () => {
  const name = freeItemName('C17', [{ item: 'C17-1' }, { item: 'C17-9' }, { item: 'C1-30' }, { item: 'L1' }]);

  assert.equal(name, 'C17-10');
});

test('deck boards before a cell are filled in as a hidden part', () => {
  const draft = draftFromLayout([{ name: 'boards', cause: 'deck boards', mode: null, polygon: [[0, 0], [24, 0], [24, 6], [0, 6]] }], cell, ['dust']);

  assert.equal(draft.hidden[0].cause, 'deck boards');
  draft.sight = 'touch';
  const body = examinationBody(draft, { box: cell, searchList: ['dust'], done: true });
  assert.equal(body.state, 'part-hidden');
  assert.equal(body.hidden.length, 1);
});

test('what is out of reach is seen and not within touch', () => {
  const draft = draftFromLayout([{ name: 'top', cause: 'reach', mode: null, touch_only: true, polygon: [[0, 18], [24, 18], [24, 24], [0, 24]] }], cell, []);
  draft.sight = 'touch';

  const body = examinationBody(draft, { box: cell, searchList: [], done: true });

  assert.equal(body.state, 'seen');
  assert.deepEqual(body.touch, { type: 'MultiPolygon', coordinates: [[[[0, 0], [24, 0], [24, 18], [0, 18], [0, 0]]]] });
});

test('a cell that was not examined needs a reason and is never done', () => {
  const draft = { ...draftFromLayout([], cell, []), sight: 'not-examined' };

  assert.throws(() => examinationBody(draft, { box: cell, searchList: [], done: true }), /why the cell was not examined/);
  assert.equal(examinationBody({ ...draft, cause: 'sheeted' }, { box: cell, searchList: [], done: true }).done, false);
});

test('a hidden part without a cause is refused', () => {
  const draft = { ...draftFromLayout([], cell, []), sight: 'seen', hidden: [{ geometry, cause: ' ' }] };

  assert.throws(() => examinationBody(draft, { box: cell, searchList: [], done: false }), /what hides it/);
});

test('an examination read back says the same again', () => {
  const draft = { ...draftFromLayout([], cell, ['dust', 'stain']), sight: 'touch', searched: new Set(['dust']) };
  const body = examinationBody(draft, { box: cell, searchList: ['dust', 'stain'], done: true });

  const again = examinationBody(draftFromRecord(body, ['dust', 'stain']), { box: cell, searchList: ['dust', 'stain'], done: true });

  assert.deepEqual(again, body);
});

test('cell done names what was looked for and how many', () => {
  const nine = ['a', 'b', 'c', 'd', 'e', 'f', 'g', 'h', 'i'];

  assert.equal(doneSentence(nine, 'normal', true), 'Looked for these nine in normal light: a, b, c, d, e, f, g, h, i; none seen except those drawn.');
  assert.equal(doneSentence(['flaking'], 'raking', false), 'Looked for this one in raking light: flaking; none seen.');
  assert.equal(countWord(40), '40');
});

const picture = { id: 'a2f5', error_in: 0.03, bounds_in: [0, 0, 24, 24] };

test('an outline states the picture that it was drawn over, and its error', () => {
  const stated = drawnOver({ term: 'stain', item: 'A01-1', mode: 'normal', observed_on: '2026-11-18' }, picture, geometry);

  const body = observationBody({ survey, geometry, stated });

  assert.deepEqual([body.picture, body.picture_error_in], ['a2f5', 0.03]);
});

test('a picture whose error is unknown is not stated, nor one that lies elsewhere, nor the bare wall', () => {
  const stated = { term: 'stain' };

  assert.deepEqual(drawnOver(stated, { bounds_in: [0, 0, 24, 24] }, geometry), stated);
  assert.deepEqual(drawnOver(stated, { ...picture, error_in: null }, geometry), stated);
  assert.deepEqual(drawnOver(stated, { ...picture, bounds_in: [48, 0, 72, 24] }, geometry), stated);
  assert.deepEqual(drawnOver(stated, null, geometry), stated);
});

test('a copy keeps the larger error of the two pictures that its border comes from', () => {
  assert.equal(drawnOver({ picture: 'old', picture_error_in: 0.08 }, picture, geometry).picture_error_in, 0.08);
  assert.equal(drawnOver({ picture: 'old', picture_error_in: 0.01 }, picture, geometry).picture_error_in, 0.03);
});

test('a correction keeps the picture that was stated', () => {
  const outline = { id: 'o', entry: 'e', term: 'stain', item: 'L1', mode: 'raking', basis: 'drawn', cells: [], continues: [], picture: 'a2f5', picture_error_in: 0.03, conflict: false, geometry };

  const body = observationBody({ survey, geometry, stated: statedOf(outline) });

  assert.deepEqual([body.picture, body.picture_error_in], ['a2f5', 0.03]);
});

test('the errors of drawing and picture are told apart', () => {
  assert.equal(errorText({ boundary_error_in: 0.06, picture_error_in: 0.03 }), 'boundary 0.06 in, picture 0.03 in');
  assert.equal(errorText({ picture_error_in: 0.013 }), 'boundary not stated, picture 0.013 in');
  assert.equal(errorText({ boundary_error_in: 0.06 }), 'boundary 0.06 in');
  assert.equal(errorText({}), '');
});
