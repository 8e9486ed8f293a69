import assert from 'node:assert/strict';
import { test } from 'node:test';
import { MISHAPS } from './mishaps.mjs';
import { NETWORK_FAULTS } from './network.mjs';
import { runSequence } from './world.mjs';

test('the same seed gives the same sequence, another one another', async () => {
  const first = await runSequence(11);
  const again = await runSequence(11);
  const other = await runSequence(12);

  assert.equal(first.world.traceHash(), again.world.traceHash());
  assert.notEqual(first.world.traceHash(), other.world.traceHash());
});

test('in two hundred sequences nothing is lost, doubled or diverged', async () => {
  for (let seed = 1; seed <= 200; seed += 1) assert.deepEqual([seed, (await runSequence(seed)).faults], [seed, []]);
});

test('more than ten kinds of fault are met, and something is kept, refused, set aside and forgotten', async () => {
  /** @type {Set<string>} */
  const met = new Set();
  const sum = { kept: 0, refusals: 0, asides: 0, forgotten: 0, conflicts: 0, twoPages: 0 };
  for (let seed = 1; seed <= 600; seed += 1) {
    const { world } = await runSequence(seed);
    for (const name of [...NETWORK_FAULTS, ...Object.keys(MISHAPS)]) if (world.trace.some((line) => line.endsWith(`: ${name}`))) met.add(name);
    sum.kept += world.promised.entries.size;
    sum.refusals += world.promised.refusals;
    sum.asides += world.server.asides.length;
    sum.forgotten += world.promised.forgotten;
    sum.twoPages += world.tablets.filter(({ alive, pages }) => pages.length > 1 && alive.length === 0).length;
    sum.conflicts += [...world.server.byObject.values()].filter((rows) => rows.length > 1).length;
  }

  assert.deepEqual([...NETWORK_FAULTS, ...Object.keys(MISHAPS)].filter((name) => !met.has(name)), []);
  for (const [name, count] of Object.entries(sum)) assert.ok(count > 0, `${name}: none in six hundred sequences`);
});
