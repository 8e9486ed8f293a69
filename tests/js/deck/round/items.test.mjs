import assert from 'node:assert/strict';
import { test } from 'node:test';
import { nextItem, otherLightText, partItems, readAloud } from '../../../../static/js/deck/round/items.js';

const TERMS = { flaking: { name: 'flaking', modes: ['raking'] }, 'paint-loss': { name: 'paint loss', modes: ['normal'] }, detachment: { name: 'detachment', modes: ['percussion'] } };
const term = (code) => TERMS[code];
const square = (x, y) => ({ type: 'Polygon', coordinates: [[[x, y], [x + 1, y], [x + 1, y + 1], [x, y]]] });
const outline = (id, code, { cells = ['C17'], x = 0, y = 0, mode = 'normal', ...more } = {}) => ({ id, item: id, term: code, mode, cells, geometry: square(x, y), area_sq_in: 12, ...more });

const part = (open, more = {}) => partItems({ open, cell: 'C17', mode: 'normal', term, settled: [], closer: [], ...more });

test('flaking drawn in normal light waits for raking light', () => {
  // source: practice.md section 11: diffuse, then raking left and right before judging flakes. Common practice, no source.
  const flake = outline('one', 'flaking', { mode: 'normal' });

  assert.deepEqual(part([flake]).unanswered, []);
  assert.deepEqual(part([flake], { mode: 'raking' }).unanswered, [flake]);
});

test('outlines of another cell are not asked', () => {
  assert.deepEqual(part([outline('one', 'paint-loss', { cells: ['C18'] })]).unanswered, []);
});

test('what cannot be seen or was not found is neither asked again nor left for another light', () => {
  const parts = part([outline('one', 'paint-loss')], { settled: ['one'] });

  assert.deepEqual([parts.unanswered, parts.closer, parts.otherLight], [[], [], []]);
});

test('every outline of the cell stands in exactly one group', () => {
  const open = [outline('one', 'paint-loss'), outline('two', 'flaking'), outline('three', 'paint-loss'), outline('four', 'detachment')];

  const parts = part(open, { closer: ['three'] });

  assert.deepEqual([...parts.unanswered, ...parts.closer, ...parts.otherLight].map(({ id }) => id).sort(), ['four', 'one', 'three', 'two']);
});

test('the scribe reads from the top of the cell down', () => {
  const parts = part([outline('low', 'paint-loss', { y: 2 }), outline('high', 'paint-loss', { y: 20 })]);

  assert.deepEqual(parts.unanswered.map(({ id }) => id), ['high', 'low']);
});

test('after an answer the following unanswered item comes', () => {
  const order = ['one', 'two', 'three'].map((id) => outline(id, 'paint-loss'));

  assert.equal(nextItem({ unanswered: [order[0], order[2]], closer: [] }, order, 'two').id, 'three');
});

test('items to be looked at more closely come again once the others are answered', () => {
  const order = ['one', 'two'].map((id) => outline(id, 'paint-loss'));

  assert.equal(nextItem({ unanswered: [], closer: [order[0]] }, order, 'two').id, 'one');
});

test('with everything answered there is no next item', () => {
  assert.equal(nextItem({ unanswered: [], closer: [] }, [], null), null);
});

test('what is read aloud has term, size, measures and note', () => {
  const read = readAloud(outline('C17-2', 'paint-loss', { measures: { 'layer shown': 'plaster' }, note: 'Edge dirty on the left.', cells: ['C17', 'C18'] }), TERMS['paint-loss'], 'C17');

  assert.equal(read.title, 'C17-2 · Paint loss');
  assert.match(read.size, /12.*layer shown: plaster/u);
  assert.match(read.reach, /C18/u);
  assert.equal(read.note, 'Edge dirty on the left.');
});

test('what waits for another light is counted and named', () => {
  assert.equal(otherLightText([outline('one', 'flaking'), outline('two', 'detachment')], term), '2 outlines are judged in another way and not asked here: raking light, fingertip taps.');
});
