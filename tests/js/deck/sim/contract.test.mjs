/**
 * Does the server in memory answer the recorded calls of every released page as the real one does? It replays the files that
 * tests/survey/tablet/test_contract.py puts to the real server.
 */
import assert from 'node:assert/strict';
import { readFileSync, readdirSync } from 'node:fs';
import { test } from 'node:test';
import { FakeServer } from './fake_server.mjs';

const FOLDER = new URL('../../../vectors/push/', import.meta.url);
const released = readdirSync(FOLDER).filter((name) => /^client-\d+\.json$/.test(name)).map((name) => JSON.parse(readFileSync(new URL(name, FOLDER), 'utf8')));

/** @param {FakeServer} server @param {Record<string, string>} tablets @param {any} step */
function asked(server, tablets, step) {
  const call = { account: step.as, tablet: tablets[step.tablet] };
  if (step.call === 'push') return server.push({ ...call, text: JSON.stringify({ ...step.body, epoch: server.epoch }) });
  if (step.call === 'pull') return server.pull({ ...call, after: step.after, limit: step.limit });
  if (step.call === 'state') return server.blobState({ ...call, digest: step.digest });
  return server.blobPart({ ...call, digest: step.digest, offset: step.offset, total: step.total, bytes: new Uint8Array(Buffer.from(step.base64, 'base64')) });
}

/** @param {FakeServer} server @param {Record<string, string>} tablets @param {any} step */
function done(server, tablets, step) {
  if (step.do === 'retire') server.retire(tablets[step.tablet]);
  else server.close();
}

/** @param {{status: number, body: any}} answer @param {any} expected */
function check({ status, body }, { status: wanted, receipts, ids, ...rest }) {
  assert.equal(status, wanted, JSON.stringify(body));
  if (ids) assert.deepEqual(body.entries.map((/** @type {any} */ entry) => entry.id), ids);
  if (receipts) assert.equal(body.receipts.length, receipts.length);
  for (const [place, receipt] of (receipts ?? []).entries()) {
    for (const [key, value] of Object.entries(receipt)) assert.deepEqual(body.receipts[place][key], value, `${key} of receipt ${place}: ${JSON.stringify(body.receipts[place])}`);
  }
  for (const [key, value] of Object.entries(rest)) assert.deepEqual(body[key], value, key);
}

for (const { client, tablets, scenarios } of released) {
  for (const { name, steps } of scenarios) {
    test(`client ${client}: ${name}`, () => {
      const server = new FakeServer({ now_ms: () => Date.UTC(2026, 10, 18, 9) });
      server.enrol(tablets.A);
      server.enrol(tablets.B);
      for (const step of steps) {
        if (step.do) done(server, tablets, step);
        else {
          let answer = asked(server, tablets, step);
          for (let time = 1; time < step.times; time += 1) answer = asked(server, tablets, step);
          check(answer, step.expect);
        }
      }
    });
  }
}

test('the recorded calls of the first client are there', () => {
  assert.ok(released.length >= 1);
});
