/**
 * Does the client core keep its promises in this many sequences? Prints how far it is and how fast; of a failure the
 * seed, what was broken and what happened before. `--replay SEED` runs one sequence again and prints all of it.
 *
 *   node tests/js/deck/sim/run.mjs --sequences 100000 --seed 1 --workers 2
 */
import { performance } from 'node:perf_hooks';
import { parseArgs } from 'node:util';
import { Worker, isMainThread, parentPort, workerData } from 'node:worker_threads';
import { runSequence } from './world.mjs';

/** A worker tells how far it is after so many sequences. */
const TOLD_EVERY = 500;
const SHOWN_EVERY_MS = 10_000;
/** A sequence leaves much behind and nothing for long: with room for it the collector seldom runs. */
const YOUNG_MB = 96;

/** @typedef {{seed: number, faults: string[], trace: string[]}} Failure */
/** @typedef {{sequences: number, events: number, entries: number, photographs: number, refusals: number, failure: Failure | null}} Tally */

if (!isMainThread) await work(workerData);
else process.exitCode = await main();

async function main() {
  const { values } = parseArgs({
    options: {
      sequences: { type: 'string', default: '2000' },
      seed: { type: 'string', default: '1' },
      workers: { type: 'string', default: '1' },
      replay: { type: 'string' },
    },
  });
  if (values.replay !== undefined) return replay(Number(values.replay));
  return runAll({ sequences: Number(values.sequences), seed: Number(values.seed), workers: Number(values.workers) });
}

/** @param {number} seed */
async function replay(seed) {
  const { world, faults } = await runSequence(seed);
  console.log(world.trace.join('\n'));
  console.log(faults.length ? `BROKEN: ${faults.join('\n        ')}` : 'Nothing was broken.');
  console.log(`Trace ${world.traceHash()}`);
  return faults.length ? 1 : 0;
}

/** @param {{sequences: number, seed: number, workers: number}} options */
async function runAll({ sequences, seed, workers }) {
  const began_ms = performance.now();
  const sum = nothing();
  const progress = setInterval(() => console.log(said(sum, { sequences, began_ms })), SHOWN_EVERY_MS);
  const shares = Array.from({ length: workers }, (_, place) => ({ first: seed + place, stride: workers, last: seed + sequences - 1 }));
  await Promise.all(shares.map((share) => worked(share, sum)));
  clearInterval(progress);
  console.log(said(sum, { sequences, began_ms }));
  if (sum.failure === null) {
    console.log('0 lost, 0 duplicated, 0 diverged.');
    return sum.sequences === sequences ? 0 : 1;
  }
  const { failure } = sum;
  console.log(`Sequence ${failure.seed} BROKE A PROMISE:\n  ${failure.faults.join('\n  ')}`);
  console.log(`What happened:\n  ${failure.trace.join('\n  ')}`);
  console.log(`Again: node tests/js/deck/sim/run.mjs --replay ${failure.seed}`);
  return 1;
}

/** @param {{first: number, stride: number, last: number}} share @param {Tally} sum @returns {Promise<void>} */
function worked(share, sum) {
  return new Promise((kept, refused) => {
    const worker = new Worker(new URL(import.meta.url), { workerData: share, resourceLimits: { maxYoungGenerationSizeMb: YOUNG_MB } });
    worker.on('message', (/** @type {Tally} */ part) => {
      add(sum, part);
      if (part.failure) void worker.terminate();
    });
    worker.on('error', refused);
    worker.on('exit', () => kept());
  });
}

/** @param {{first: number, stride: number, last: number}} share */
async function work({ first, stride, last }) {
  let tally = nothing();
  for (let seed = first; seed <= last; seed += stride) {
    const { world, faults } = await runSequence(seed);
    tally.sequences += 1;
    tally.events += world.time.events;
    tally.entries += world.promised.entries.size;
    tally.photographs += world.promised.photographs.size;
    tally.refusals += world.promised.refusals;
    if (faults.length) tally.failure = { seed, faults, trace: world.trace };
    if (tally.sequences === TOLD_EVERY || faults.length || seed + stride > last) {
      parentPort?.postMessage(tally);
      tally = nothing();
      await new Promise((kept) => setImmediate(kept));
    }
    if (faults.length) return;
  }
}

/** @returns {Tally} */
function nothing() {
  return { sequences: 0, events: 0, entries: 0, photographs: 0, refusals: 0, failure: null };
}

/** @param {Tally} sum @param {Tally} part */
function add(sum, part) {
  sum.sequences += part.sequences;
  sum.events += part.events;
  sum.entries += part.entries;
  sum.photographs += part.photographs;
  sum.refusals += part.refusals;
  if (part.failure && (sum.failure === null || part.failure.seed < sum.failure.seed)) sum.failure = part.failure;
}

/** @param {Tally} sum @param {{sequences: number, began_ms: number}} options */
function said(sum, { sequences, began_ms }) {
  const passed_s = (performance.now() - began_ms) / 1000;
  const rate = Math.round(sum.sequences / passed_s);
  return `${sum.sequences} of ${sequences} sequences, ${sum.entries} entries and ${sum.photographs} photographs kept, ${sum.refusals} refusals said, ${sum.events} events, ${passed_s.toFixed(0)} s, ${rate} a second`;
}
