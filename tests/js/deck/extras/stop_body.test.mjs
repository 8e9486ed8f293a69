import assert from 'node:assert/strict';
import { test } from 'node:test';
import { ACTIVITIES, NOBODY_TOLD, freeText, freshStop, headWords, isFilled, lifted, missingOf, stopBody, toggledWord, together, toldSentence, withCall, withFreeText } from '../../../../static/js/deck/extras/stop_body.js';
import { clock, clockFrom, zoneText } from '../../../../static/js/deck/extras/clock.js';

const AT = '2026-11-18T10:42:00Z';
const NOON = Date.parse('2026-11-18T12:00:00Z');
const CARD = { ...freshStop({ at: AT, cell: 'C17' }), activity: 'water' };

test('a fresh card names the minute and the cell and nothing else', () => {
  const card = freshStop({ at: AT, cell: 'C17' });

  assert.equal(isFilled(card), false);
  assert.deepEqual(card.cells, ['C17']);
  assert.match(missingOf(card), /not said yet/);
});

test('a card says that nobody has been told until a call is logged', () => {
  const told = withCall(CARD, { who: 'Gil Alder, site manager', number: '555 0142', at: AT, said: 'stops the breaker' });

  assert.equal(toldSentence(CARD, NOON), NOBODY_TOLD);
  assert.equal(toldSentence(told, NOON), `Told: Gil Alder, site manager at ${clock(AT)}.`);
});

test('a call without a name is not logged', () => {
  assert.throws(() => withCall(CARD, { who: ' ', at: AT }), /Whom you rang/);
});

test('a stop is not lifted without a reason', () => {
  assert.throws(() => lifted(CARD, '  '), /Why the stop is lifted/);
  assert.equal(lifted(CARD, 'C17 examined, no change shown; Ines Fallow').state, 'lifted');
});

test('the body leaves out what is empty and keeps the session in which the stop began', () => {
  const body = stopBody(CARD, 'session-1');

  assert.deepEqual(body, { noticed_at: AT, activity: 'water', cells: ['C17'], told: [], state: 'open', session: 'session-1' });
  assert.equal(stopBody({ ...CARD, session: 'session-0' }, 'session-1').session, 'session-0');
});

test('words on buttons stand in the order of the buttons, own words behind them', () => {
  let activity = withFreeText('', 'a bang from the roof', ACTIVITIES);
  activity = toggledWord(activity, 'water', ACTIVITIES);
  activity = toggledWord(activity, 'demolition', ACTIVITIES);

  assert.equal(activity, 'demolition; water; a bang from the roof');
  assert.equal(freeText(activity, ACTIVITIES), 'a bang from the roof');
  assert.equal(toggledWord(activity, 'water', ACTIVITIES), 'demolition; a bang from the roof');
});

test('own words may hold the mark between words', () => {
  const activity = withFreeText('water', 'first a drip; then a stream', ACTIVITIES);

  assert.equal(freeText(activity, ACTIVITIES), 'first a drip; then a stream');
});

test('the head says the earliest open stop and whether anybody was told', () => {
  const later = { ...CARD, noticed_at: '2026-11-18T11:05:00Z' };
  const told = withCall(CARD, { who: 'Ines Fallow', at: AT });

  assert.equal(headWords([], NOON), null);
  assert.deepEqual(headWords([CARD], NOON), { title: 'STOP OPEN', detail: `since ${clock(AT)}, nobody told` });
  assert.deepEqual(headWords([later, told], NOON), { title: '2 STOPS OPEN', detail: `since ${clock(AT)}, nobody told` });
  assert.equal(headWords([told], NOON)?.detail, `since ${clock(AT)}, Ines Fallow told`);
});

test('two versions of one stop keep every call, cell and photograph, and stay open until both are lifted', () => {
  const here = { ...withCall(CARD, { who: 'Gil Alder', at: '2026-11-18T10:45:00Z' }), photographs: ['aa'] };
  const there = { ...withCall(CARD, { who: 'Ines Fallow', at: '2026-11-18T10:44:00Z' }), cells: ['C17', 'C18'] };

  const whole = together([here, lifted(there, 'examined')]);

  assert.deepEqual(whole.told.map(({ who }) => who), ['Ines Fallow', 'Gil Alder']);
  assert.deepEqual([whole.cells, whole.photographs, whole.activity], [['C17', 'C18'], ['aa'], 'water']);
  assert.equal(whole.state, 'open');
  assert.equal(together([lifted(here, 'a'), lifted(there, 'b')]).lifted_because, 'a; b');
});

test('a moment of another day is shown with its day', () => {
  const next = NOON + 24 * 3_600_000;

  assert.equal(clockFrom(AT, NOON), clock(AT));
  assert.equal(clockFrom(AT, next), `18 Nov ${clock(AT)}`);
  assert.equal(headWords([CARD], next)?.detail, `since 18 Nov ${clock(AT)}, nobody told`);
});

test('a time is shown as the tablet has it, with its zone', () => {
  const before = process.env.TZ;
  try {
    process.env.TZ = 'America/New_York';
    // source: IANA time zone database, America/New_York is UTC-5 in November.
    assert.equal(`${clock(AT)} ${zoneText(AT)}`, '05:42 UTC−5');
    process.env.TZ = 'Asia/Kolkata';
    assert.equal(`${clock(AT)} ${zoneText(AT)}`, '16:12 UTC+5:30');
  } finally {
    if (before === undefined) delete process.env.TZ;
    else process.env.TZ = before;
  }
});
