import assert from 'node:assert/strict';
import { test } from 'node:test';
import { bodyOf, changeSession, currentSession, openSession } from '../../../static/js/deck/session.js';
import { Store } from '../../../static/js/wall/state.js';

/** A page whose disk takes a while, as far as a session needs one. */
function deckOf() {
  let number = 0;
  /** @type {any[]} */
  const said = [];
  const deck = {
    said, failing: false, store: new Store({ session: /** @type {any} */ (null) }), platform: { uuid7: () => `id-${(number += 1)}` },
    record: { async say(/** @type {string} */ kind, /** @type {any} */ body, /** @type {any} */ options) {
      await new Promise((resolve) => setTimeout(resolve, 2));
      if (deck.failing) throw new Error('disk full');
      said.push({ kind, body, ...options });
      return { id: `entry-${said.length}` };
    } },
  };
  return /** @type {any} */ (deck);
}

test('two changes made at once both stand in the last entry', async () => {
  const deck = deckOf();
  await openSession(deck, { state: 'open', lamps: [] });

  await Promise.all([changeSession(deck, { note: 'dust' }), changeSession(deck, (body) => ({ lamps: [...body.lamps, 'left'] }))]);

  assert.deepEqual(deck.said[deck.said.length - 1].body, { state: 'open', lamps: ['left'], note: 'dust' });
  assert.equal(new Set(deck.said.map((/** @type {any} */ { objectId }) => objectId)).size, 1);
});

test('a change that changes nothing makes no entry', async () => {
  const deck = deckOf();
  await openSession(deck, { state: 'open', note: 'dust' });

  await changeSession(deck, { note: 'dust' });

  assert.equal(deck.said.length, 1);
});

test('a change that the disk refuses is told and changes nothing here', async () => {
  const deck = deckOf();
  await openSession(deck, { state: 'open' });
  deck.failing = true;

  await assert.rejects(changeSession(deck, { note: 'dust' }), /disk full/);
  deck.failing = false;
  await changeSession(deck, { mode: 'raking' });

  assert.deepEqual(bodyOf(currentSession(deck)), { state: 'open', mode: 'raking' });
});

test('a closed session is no open one and is not changed', async () => {
  const deck = deckOf();
  await openSession(deck, { state: 'open' });
  await changeSession(deck, { state: 'closed' });

  assert.equal(currentSession(deck), null);
  assert.equal(await changeSession(deck, { note: 'late' }), null);
});

test('what the record adds to a session is not stated with it', () => {
  assert.deepEqual(bodyOf({ id: 'a', entry: 'b', kind: 'session', conflict: false, state: 'open', note: 'dust' }), { state: 'open', note: 'dust' });
});
