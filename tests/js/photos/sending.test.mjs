/** In which order do files go over, what is said of them, and what does an answer mean? */
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { addressOf, inOrder, isRaw, outcomeOf } from '../../../static/js/photos/sending.js';

const RAW = ['.nef', '.cr3'];
const named = (...names) => names.map((name) => ({ name }));

test('a raw file is known by its ending in any case, and by nothing else', () => {
  assert.equal(isRaw('DSC_0042.NEF', RAW), true);
  assert.equal(isRaw('nef.jpg', RAW), false);
});

test('renderings go before raw files, each kind by its numbers', () => {
  const order = inOrder(named('A10.nef', 'A10.jpg', 'A9.jpg', 'A2.NEF'), RAW).map((file) => file.name);

  assert.deepEqual(order, ['A9.jpg', 'A10.jpg', 'A2.NEF', 'A10.nef']);
});

test('what is not said stays out of the address, and what is said comes over whole', () => {
  const address = new URL(addressOf('/photographs/', 'C17 & C18.jpg', { mode: 'raking', cell: ' ', clock_zone: '+01:00' }), 'http://wall');

  assert.deepEqual(Object.fromEntries(address.searchParams), { name: 'C17 & C18.jpg', mode: 'raking', clock_zone: '+01:00' });
});

for (const [status, text, state] of [
  [201, '{"photograph": "p", "remarks": []}', 'kept'],
  [200, '{"photograph": "p", "remarks": []}', 'there'],
  [400, '{"message": "It is cut off."}', 'refused'],
  [403, '{"message": "A reader cannot."}', 'refused'],
  [401, '{"message": "Sign in first."}', 'lost'],
  [503, '{"message": "busy"}', 'lost'],
  [502, '<html>', 'lost'],
  [0, '', 'lost'],
]) {
  test(`an answer of ${status} with ${text || 'nothing'} means ${state}`, () => {
    assert.equal(outcomeOf(status, text).state, state);
  });
}

test('a refusal is told in the words of the server', () => {
  assert.deepEqual(outcomeOf(400, '{"message": "It is cut off."}').words, ['It is cut off.']);
});
