import assert from 'node:assert/strict';
import { test } from 'node:test';
import { clearedOf, clearedText, forgetHeld, noteHeld } from '../../../../static/js/deck/status/held_here.js';

/** What the browser keeps apart from the store. */
function storage() {
  const rows = new Map();
  return { getItem: (key) => rows.get(key) ?? null, setItem: (key, value) => void rows.set(key, value), removeItem: (key) => void rows.delete(key) };
}

const HELD = { store: 'pontata-deck', name: 'Tablet 2', survey: 'W1', waiting: 7 };

test('a store that is empty where something was noted has been cleared, and says how much was unsent', () => {
  const kept = storage();
  noteHeld(kept, HELD);

  const cleared = clearedOf(kept, { store: 'pontata-deck', isEnrolled: false });

  assert.match(clearedText(cleared), /Tablet 2 held for survey W1; 7 entries/);
});

test('a store that is there, a fresh tablet and another store have not been cleared', () => {
  const kept = storage();

  assert.equal(clearedOf(kept, { store: 'pontata-deck', isEnrolled: false }), null);
  noteHeld(kept, HELD);
  assert.equal(clearedOf(kept, { store: 'pontata-deck', isEnrolled: true }), null);
  assert.equal(clearedOf(kept, { store: 'pontata-deck-2', isEnrolled: false }), null);
});

test('what was read is not said again', () => {
  const kept = storage();
  noteHeld(kept, HELD);
  forgetHeld(kept);

  assert.equal(clearedOf(kept, { store: 'pontata-deck', isEnrolled: false }), null);
});
