import assert from 'node:assert/strict';
import { test } from 'node:test';
import { closingChange, dailyCheckBody, joined, lampMinutes, lampsOff, openedBody, withBay, withLamp } from '../../../../static/js/deck/round/session_body.js';

const NINE_MS = Date.UTC(2026, 10, 18, 9, 0, 0);
const opened = () => openedBody({ survey: 'W1', now_ms: NINE_MS, observer: 'Ines Fallow', recorder: 'Tomas Sedge', deck: '1', mode: 'normal' });

test('a session opens with both people, its deck and its moment in UTC', () => {
  const body = opened();

  assert.equal(body.opened_at, '2026-11-18T09:00:00Z');
  assert.deepEqual([body.state, body.observer, body.recorder, body.deck], ['open', 'Ines Fallow', 'Tomas Sedge', '1']);
});

test('a label never outgrows what an observation may carry of it', () => {
  const body = openedBody({ survey: 'W1', now_ms: NINE_MS, observer: 'Ines '.repeat(40), recorder: 'T', deck: null, mode: 'normal' });

  // source: survey/record/bodies.py, observation.session: at most 80 characters.
  assert.ok(body.label.length <= 80);
  assert.equal('deck' in body, false);
});

test('a cell walked in two bays is listed once', () => {
  assert.deepEqual(withBay(['E01', 'F01'], ['F01', 'G01']), ['E01', 'F01', 'G01']);
});

test('a new lamp puts out the one before, at the same moment', () => {
  const left = withLamp([], { setting: 'raking from the left', side: 'left' }, NINE_MS);
  const right = withLamp(left, { setting: 'raking from the right', side: 'right' }, NINE_MS + 600_000);

  assert.equal(right[0].off_at, '2026-11-18T09:10:00Z');
  assert.equal(right[1].on_at, '2026-11-18T09:10:00Z');
});

test('the same lamp for the next bay goes on burning', () => {
  const lamps = withLamp([], { setting: 'diffuse', side: 'even' }, NINE_MS);

  assert.equal(withLamp(lamps, { setting: 'diffuse', side: 'even' }, NINE_MS + 60_000), lamps);
});

test('daylight switches lamps off and counts as none', () => {
  const burning = withLamp([], { setting: 'diffuse', side: 'even' }, NINE_MS);

  const lamps = withLamp(burning, { setting: 'daylight', side: 'even' }, NINE_MS + 300_000);

  assert.deepEqual(lamps.map(({ setting, off_at }) => [setting, off_at]), [['diffuse', '2026-11-18T09:05:00Z']]);
});

test('the minutes of two lamps that burn together are counted once', () => {
  const lamps = [{ on_at: '2026-11-18T09:00:00Z', off_at: '2026-11-18T09:30:00Z' }, { on_at: '2026-11-18T09:20:00Z', off_at: '2026-11-18T09:40:00Z' }];

  assert.equal(lampMinutes(lamps), 40);
});

test('a lamp inside the time of another adds nothing', () => {
  const lamps = [{ on_at: '2026-11-18T09:00:00Z', off_at: '2026-11-18T10:00:00Z' }, { on_at: '2026-11-18T09:20:00Z', off_at: '2026-11-18T09:40:00Z' }, { on_at: '2026-11-18T10:30:00Z', off_at: '2026-11-18T10:40:00Z' }];

  assert.equal(lampMinutes(lamps), 70);
});

test('lamps that were put out keep their moment when the session closes', () => {
  const [lamp] = lampsOff([{ setting: 'diffuse', off_at: '2026-11-18T09:10:00Z' }], NINE_MS + 3_600_000);

  assert.equal(lamp.off_at, '2026-11-18T09:10:00Z');
});

test('closing signs, puts the lamps out and states the minutes', () => {
  const body = { ...opened(), lamps: withLamp([], { setting: 'diffuse', side: 'even' }, NINE_MS) };

  const change = closingChange({ body, now_ms: NINE_MS + 36 * 60_000, signed_by: 'Ines Fallow', times: [['C17', { looking_ms: 180_000, touching_ms: 60_000 }]], note: 'Lamps off.' });

  assert.deepEqual([change.state, change.signed_by, change.lamp_minutes, change.minutes, change.touch_minutes, change.note], ['closed', 'Ines Fallow', 36, { C17: 3 }, 1, 'Lamps off.']);
});

test('a note goes on after what stands in the session', () => {
  assert.equal(joined('Podium used.', 'All lamps are off.'), 'Podium used. All lamps are off.');
  assert.equal(joined(undefined, ' One. '), 'One.');
});

test('a note that would outgrow what the record takes keeps what stood in it', () => {
  // source: survey/record/fields.py, LONGEST_NOTE: 4000 characters.
  assert.equal(joined('a'.repeat(3990), 'More than ten characters.'), 'a'.repeat(3990));
});

test('the daily check leaves empty notes and an unknown date out', () => {
  const body = dailyCheckBody({ session: 's', day: '2026-11-18', checks: { seals: { state: 'in-order', note: ' ' }, trays: { state: 'not-in-order', note: 'One missing.' } }, tag_date: '' });

  assert.deepEqual(body, { session: 's', checked_on: '2026-11-18', items: [{ what: 'seals', state: 'in-order' }, { what: 'trays', state: 'not-in-order', note: 'One missing.' }] });
});
