import assert from 'node:assert/strict';
import { test } from 'node:test';
import { signalOf, standingBanners } from '../../../../static/js/deck/status/signal.js';

const QUIET = { phase: 'idle', unsent: 0, photographs_unsent: 0, set_aside: 0, skew_s: 0, message: '', survey_state: 'open' };

test('entries and photographs wait together', () => {
  assert.deepEqual(signalOf({ ...QUIET, unsent: 3, photographs_unsent: 2, phase: 'offline' }), { waiting: 5, words: 'no network', attention: false });
});

test('no network is the ordinary state of the deck and asks for nobody', () => {
  const banners = standingBanners({ ...QUIET, phase: 'offline', unsent: 40 }, () => {});

  assert.deepEqual(Object.values(banners).filter(Boolean), []);
});

test('what was set aside, a clock that is off and a sign-in that ran out ask for somebody', () => {
  assert.equal(signalOf({ ...QUIET, set_aside: 1 }).attention, true);
  assert.equal(signalOf({ ...QUIET, skew_s: 500 }).attention, true);
  assert.equal(signalOf({ ...QUIET, phase: 'sign-in' }).attention, true);
  assert.equal(signalOf(QUIET).attention, false);
});

test('a survey closed meanwhile, a wrong account and a retired tablet each put up a banner that says what to do', () => {
  assert.match(standingBanners({ ...QUIET, survey_state: 'sealed' }, () => {}).survey.message, /amendment/);
  assert.match(standingBanners({ ...QUIET, phase: 'no-part' }, () => {}).account.message, /sign in with an account/);
  assert.match(standingBanners({ ...QUIET, phase: 'retired' }, () => {}).account.message, /Download your work/);
});
