import assert from 'node:assert/strict';
import { test } from 'node:test';
import { LookClock, TouchMeter, minutesSentence, minutesText, statedMinutes } from '../../../../static/js/deck/round/minutes.js';

test('looking adds up what passes between moments', () => {
  const clock = new LookClock(1_000);

  assert.equal(clock.pass(11_000) + clock.pass(31_000), 30_000);
});

test('a tablet that slept for half an hour counted nobody looking', () => {
  const clock = new LookClock(0);

  assert.equal(clock.pass(30 * 60_000), 0);
  assert.equal(clock.pass(30 * 60_000 + 10_000), 10_000);
});

test('a clock that goes back takes nothing away', () => {
  const clock = new LookClock(60_000);

  assert.equal(clock.pass(1_000), 0);
});

test('taps of one turn count with the pauses between them', () => {
  const meter = new TouchMeter();

  const counted = [meter.begin(0), meter.end(100), meter.begin(1_100), meter.end(1_200)];

  assert.equal(counted.reduce((sum, one) => sum + one, 0), 600 + 100 + 1_000 + 100);
});

test('after a long look the next tap is a turn of its own', () => {
  const meter = new TouchMeter();
  meter.begin(0);
  meter.end(100);

  assert.equal(meter.begin(120_000), 600);
});

test('two fingers at once are counted once', () => {
  const meter = new TouchMeter();
  meter.begin(0);
  meter.begin(500);
  meter.end(600);

  assert.equal(meter.end(1_000), 1_000);
});

test('a contact whose end comes twice is counted once', () => {
  const meter = new TouchMeter();
  meter.begin(0);
  meter.end(1_000);

  assert.equal(meter.end(2_000), 0);
});

test('a cell seen in two lights has one number of minutes', () => {
  const stated = statedMinutes([['C17', { looking_ms: 60_000, touching_ms: 6_000 }], ['C17', { looking_ms: 90_000, touching_ms: 6_000 }], ['C18', { looking_ms: 0, touching_ms: 0 }]]);

  assert.deepEqual(stated, { minutes: { C17: 2.5 }, touch_minutes: 0.2 });
});

test('the sentence gives the mean of a cell', () => {
  assert.equal(minutesSentence({ C17: 2, C18: 4 }, 1.5), '2 cells in 6.0 min, 3.0 min a cell; the tablet was touched for about 1.5 min of it.');
});

test('minutes carry their unit', () => {
  assert.equal(minutesText(0.25), '0.3 min');
});
