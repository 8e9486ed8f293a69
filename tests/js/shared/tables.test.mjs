import assert from 'node:assert/strict';
import { test } from 'node:test';
import { compareValues, csvField } from '../../../static/js/shared/tables.js';

test('numbers sort by size and empty values come last', () => {
  const values = ['1,200', '', '9', '-3', '80'];

  assert.deepEqual(values.sort(compareValues), ['-3', '9', '80', '1,200', '']);
});

test('cell labels sort by letter, then by number', () => {
  assert.deepEqual(['C10', 'A2', 'C9'].sort(compareValues), ['A2', 'C9', 'C10']);
});

test('a field with a comma or a quotation mark is quoted', () => {
  // source: RFC 4180, section 2, rules 6 and 7.
  assert.equal(csvField('loss, fresh'), '"loss, fresh"');
  assert.equal(csvField('2" step'), '"2"" step"');
});

test('text that a spreadsheet would run is kept as text, numbers stay numbers', () => {
  assert.equal(csvField('=SUM(A1)'), "'=SUM(A1)");
  assert.equal(csvField('-3.5'), '-3.5');
});
