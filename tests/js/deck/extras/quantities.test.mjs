import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { QUANTITIES, readingBody, readingText, troubleWith } from '../../../../static/js/deck/extras/quantities.js';

/** The server's own table, read from its source: the tablet must ask nothing else. */
const SERVER = readFileSync(new URL('../../../../survey/watch/bodies.py', import.meta.url), 'utf8');

test('every quantity has the units and ranges that the server takes', () => {
  const table = /QUANTITIES[^{]*\{([\s\S]*?)\n\}/.exec(SERVER)?.[1] ?? '';
  const lines = [...table.matchAll(/"([\w-]+)": \{(.*)\},/g)].map(([, code, units]) => [code, Object.fromEntries([...units.matchAll(/"([^"]+)": \((-?[\d._]+), (-?[\d._]+)\)/g)]
    .map(([, unit, least, most]) => [unit, [Number(least.replaceAll('_', '')), Number(most.replaceAll('_', ''))]]))]);

  assert.equal(lines.length, 8);
  assert.deepEqual(Object.fromEntries(QUANTITIES.map(({ code, units }) => [code, Object.fromEntries(units.map(({ unit, least, most }) => [unit, [least, most]]))])), Object.fromEntries(lines));
});

test('131 % relative humidity is refused with value, unit and limit', () => {
  const said = troubleWith({ quantity: 'relative-humidity', value: 131, unit: '%' });

  assert.match(said, /131 % relative humidity is above 100 %/);
  assert.match(said, /nothing was kept/);
});

test('a temperature below the coldest is refused with a proper minus', () => {
  assert.match(troubleWith({ quantity: 'air-temperature', value: -70, unit: '°C' }), /−70 °C air temperature is below −50 °C/);
});

test('the ends of a range can be true', () => {
  for (const { code, units } of QUANTITIES) for (const { unit, least, most } of units) for (const value of [least, most]) assert.equal(troubleWith({ quantity: code, value, unit }), '');
});

test('a pad without a number asks for one', () => {
  assert.match(troubleWith({ quantity: 'moisture', value: null, unit: '%' }), /No number is typed/);
});

test('a unit of another quantity is not taken', () => {
  assert.match(troubleWith({ quantity: 'moisture', value: 12, unit: 'lx' }), /No unit/);
});

test('another quantity needs its name and its unit', () => {
  assert.match(troubleWith({ quantity: 'other', value: 3, unit: 'ppm', what: ' ' }), /not said/);
  assert.match(troubleWith({ quantity: 'other', value: 3, unit: '', what: 'chloride' }), /unit is not said/);
  assert.equal(troubleWith({ quantity: 'other', value: 3, unit: 'ppm', what: 'chloride' }), '');
});

test('a body leaves out what was left open', () => {
  assert.deepEqual(readingBody({ quantity: 'moisture', value: 12.5, unit: '%', cell: 'C17', instrument: ' ', note: '' }), { quantity: 'moisture', value: 12.5, unit: '%', cell: 'C17' });
});

test('a body keeps place, instrument, session and note, and names another quantity only where it is one', () => {
  const body = readingBody({ quantity: 'gloss', value: 1.2, unit: 'GU', cell: 'C17', place: [396.5, 110.25], instrument: 'meter 2 ', what: 'left over', session: 's', note: 'at 85°' });

  assert.deepEqual(body, { quantity: 'gloss', value: 1.2, unit: 'GU', cell: 'C17', place: [396.5, 110.25], instrument: 'meter 2', session: 's', note: 'at 85°' });
});

test('a reading is told with number, unit, what and where', () => {
  assert.equal(readingText({ quantity: 'surface-temperature', value: 61, unit: '°F', cell: 'C17', instrument: 'probe A' }), '61 °F surface temperature, C17, probe A');
});
