import assert from 'node:assert/strict';
import { test } from 'node:test';
import { contactText, phaseText, skewText, surveyStateText, unsentText } from '../../../../static/js/deck/status/sync_words.js';
import { workFileName, workPieces } from '../../../../static/js/deck/status/work_file.js';

test('a clock is spoken of only beyond two minutes, either way', () => {
  assert.equal(skewText(null), null);
  assert.equal(skewText(120), null);
  assert.equal(skewText(-120), null);
  assert.match(skewText(121), /2 minutes ahead/);
  assert.match(skewText(-5 * 3600), /5 hours behind/);
});

test('every phase says what it means and no phase says that something is lost', () => {
  for (const phase of ['idle', 'sending', 'waiting', 'offline', 'sign-in', 'no-part', 'retired']) {
    const text = phaseText({ phase, message: '' });

    assert.match(text, /\.$/);
    assert.doesNotMatch(text, /undefined|null/);
  }
});

test('one entry is no plural', () => {
  assert.match(unsentText(1, 2), /1 entry and 2 photographs/);
  assert.match(unsentText(0, 1), /0 entries and 1 photograph /);
  assert.match(unsentText(0, 0), /Everything/);
});

test('the last contact is told in the unit a person thinks in', () => {
  const minute = 60_000;

  assert.deepEqual([0, 3, 59, 60, 47 * 60, 72 * 60].map((minutes) => contactText(10_000, 10_000 + minutes * minute)),
    ['less than a minute ago', '3 minutes ago', '59 minutes ago', '1 hour ago', '47 hours ago', '3 days ago']);
  assert.equal(contactText(null, 5), 'no contact yet');
});

test('only a survey that is no longer open is spoken of', () => {
  assert.equal(surveyStateText('open'), null);
  assert.equal(surveyStateText(undefined), null);
  assert.match(surveyStateText('sealed'), /was sealed.*waits for the lead/);
});

test('the work file bears the tablet and the minute in a name that every disk takes', () => {
  assert.equal(workFileName('Tablet №3 / deck', Date.UTC(2026, 10, 18, 9, 5)), 'pontata-work-tablet-3-deck-2026-11-18T0905.json');
  assert.match(workFileName('', 0), /^pontata-work-tablet-/);
});

test('the pieces of the work file make the same JSON as the whole', () => {
  for (const photographs of [[], [{ digest: 'a' }], [{ digest: 'a' }, { digest: 'b' }]]) {
    const work = { format: 'pontata-work', entries: [{ id: '1' }], photographs, drafts: [] };

    assert.deepEqual(JSON.parse(workPieces(work).join('')), work);
  }
});
