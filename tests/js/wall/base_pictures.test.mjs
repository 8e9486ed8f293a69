/** Are pictures named with survey, version and error, and do their tiles lie where they are on the wall? */
import assert from 'node:assert/strict';
import test from 'node:test';
import { levelsOf, otherPictures, pictureName, pictureSaid, stripTiles, tileGridOptions } from '../../../static/js/wall/base_pictures.js';

const mosaic = (/** @type {object} */ changes = {}) => ({
  kind: /** @type {'tiles'} */ ('tiles'), id: 'm1', mode: 'raking', lamp_side: 'left', url: '/tiles/m1/{z}/{x}/{y}.jpg', bounds_in: [0, 0, 130, 90.1],
  width_px: 1300, height_px: 901, px_per_in: 10, tile_px: 512, levels: 3, error_in: 0.1, version: 2, shown_pct: 100, survey: 'P1', taken_on: '2026-06-15', ...changes,
});
const photograph = { mode: 'normal', url: '/blob', bounds_in: [0, 0, 130, 90], survey: 'B1', taken_on: '2026-03-03' };

test('a picture is named by light, lamp, survey, version and day', () => {
  assert.equal(pictureName(mosaic()), 'Raking light, left, P1 mosaic 2, 15 June 2026');
  assert.equal(pictureName(photograph), 'Normal light, B1, 3 March 2026');
});

test('what stands beside the picture says its error, or that nobody knows it', () => {
  assert.equal(pictureSaid(mosaic()), 'Mosaic of P1, version 2, 15 June 2026, ± 0.10 in');
  assert.equal(pictureSaid(mosaic({ shown_pct: 12 })), 'Mosaic of P1, version 2, 15 June 2026, ± 0.10 in, shows 12 % of the wall');
  assert.equal(pictureSaid(photograph), 'Photograph of B1, 3 March 2026, error not known');
  assert.equal(pictureSaid(null), '');
});

test('outlines that were drawn over an earlier version are told, those over the shown one are not', () => {
  const [second, first] = [mosaic(), mosaic({ id: 'm0', version: 1 })];

  const outlines = [{ picture: 'm0' }, { picture: 'm0' }, { picture: 'm1' }, { picture: null }, {}];

  assert.equal(otherPictures(second, outlines, [second, first]), '2 outlines were drawn over P1 mosaic 1');
  assert.equal(otherPictures(first, outlines, [second, first]), '1 outline was drawn over P1 mosaic 2');
  assert.equal(otherPictures(second, [{ picture: 'elsewhere' }], [second, first]), '');
});

test('outlines of another light are not held against the picture of this one', () => {
  const normal = mosaic({ id: 'n1', mode: 'normal' });

  assert.equal(otherPictures(mosaic(), [{ picture: 'n1' }], [mosaic(), normal]), '');
});

test('each level has half as many pixels as the next, rounded up', () => {
  assert.deepEqual(levelsOf(mosaic()).map(({ width_px, height_px }) => [width_px, height_px]), [[325, 226], [650, 451], [1300, 901]]);
});

test('the map counts tiles from the upper left corner, in inches to a pixel', () => {
  assert.deepEqual(tileGridOptions(mosaic()), { origin: [0, 90.1], resolutions: [0.4, 0.2, 0.1], sizes: [[1, 1], [2, 1], [3, 2]], tileSize: 512 });
});

test('the tiles of the strip cover the picture without a gap, the last ones smaller', () => {
  const tiles = stripTiles(mosaic());

  assert.deepEqual(tiles.map(({ url }) => url), ['0/0', '1/0', '2/0', '0/1', '1/1', '2/1'].map((place) => `/tiles/m1/2/${place}.jpg`));
  assert.deepEqual(tiles[0].box_in.map((place) => Math.round(place * 1e6) / 1e6 + 0), [0, 38.9, 51.2, 90.1]);
  assert.deepEqual(tiles[5].box_in.map((place) => Math.round(place * 1e6) / 1e6 + 0), [102.4, 0, 130, 38.9]);
});

test('a photograph as one file is not laid under the strip', () => {
  assert.deepEqual(stripTiles(photograph), []);
});
