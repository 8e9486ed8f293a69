import assert from 'node:assert/strict';
import { test } from 'node:test';
import { burning, lampHead, measured, minutesOn, minutesSoFar, switchedOff, switchedOn, troubleWithLamp } from '../../../../static/js/deck/extras/lamp_words.js';

const NINE = Date.parse('2026-11-18T09:00:00Z');
const MINUTE = 60_000;
const LEFT = { setting: 'raking from the left', side: 'left' };

test('a lamp switched on burns and counts whole minutes', () => {
  const { lamps } = switchedOn([], LEFT, NINE);

  assert.equal(burning(lamps)?.on_at, '2026-11-18T09:00:00Z');
  assert.equal(minutesOn(burning(lamps), NINE + 12.9 * MINUTE), 12);
});

test('the head says the lamp that is on and its minutes', () => {
  const { lamps } = switchedOn([], LEFT, NINE);

  assert.deepEqual(lampHead(lamps, NINE + 12 * MINUTE), { title: 'Lamp on 12 min', detail: 'left', on: true });
});

test('the next lamp ends the one before, and no minute counts twice', () => {
  const first = switchedOn([], LEFT, NINE);
  const second = switchedOn(first.lamps, { setting: 'raking from the right', side: 'right' }, NINE + 10 * MINUTE);
  const off = switchedOff(second.lamps, NINE + 15 * MINUTE);

  assert.equal(off.lamps[0].off_at, '2026-11-18T09:10:00Z');
  assert.equal(off.lamp_minutes, 15);
  assert.equal(burning(off.lamps), null);
});

test('minutes while the lamp still burns are counted up to now', () => {
  const { lamps } = switchedOn([], LEFT, NINE);

  assert.equal(minutesSoFar(lamps, NINE + 7 * MINUTE), 7);
});

test('the same lamp switched on again changes nothing', () => {
  const { lamps } = switchedOn([], LEFT, NINE);

  assert.deepEqual(switchedOn(lamps, LEFT, NINE + MINUTE), {});
});

test('lux belongs to the lamp that burns', () => {
  const { lamps } = switchedOn([], LEFT, NINE);

  assert.deepEqual(measured(lamps, { lux: 800, lux_at: ' C17 ' }).lamps[0], { ...lamps[0], lux: 800, lux_at: 'C17' });
  assert.deepEqual(measured(switchedOff(lamps, NINE + MINUTE).lamps, { lux: 800, lux_at: '' }), {});
});

test('with lamps off the head says what was counted so far', () => {
  const off = switchedOff(switchedOn([], LEFT, NINE).lamps, NINE + 3 * MINUTE);

  assert.deepEqual(lampHead(off.lamps, NINE + 30 * MINUTE), { title: 'Lamp off', detail: '3 min so far', on: false });
  assert.equal(lampHead([], NINE).detail, 'no minutes yet');
});

test('a lamp without its setting is asked for it', () => {
  assert.match(troubleWithLamp({ setting: ' ', lux: null }), /setting is not said/);
  assert.match(troubleWithLamp({ setting: 'diffuse', lux: 500_000 }), /Check the reading/);
  assert.equal(troubleWithLamp({ setting: 'diffuse', lux: 800 }), '');
});
