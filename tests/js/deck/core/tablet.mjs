/**
 * What does a test of the client core run on? A platform without clock or chance of its own, the browser's store in
 * memory, and a wire to the server that the simulations use. No test stands here.
 */
import 'fake-indexeddb/auto';
import { createHash } from 'node:crypto';
import { openDB } from 'idb';
import { IdbDisk } from '../../../../static/js/deck/core/disk.js';
import { TabletLog } from '../../../../static/js/deck/core/log.js';
import { Sync } from '../../../../static/js/deck/core/sync.js';
import { FakeServer } from '../sim/fake_server.mjs';

export const START_MS = Date.UTC(2026, 10, 25, 8);
export const DAY_MS = 86_400_000;
export const DEVICE = '0198c0de-1111-7000-8000-000000000001';

let stores = 0;

/** A store that no other test has. */
export function freshName() {
  stores += 1;
  return `tablet-${stores}`;
}

/** @param {string} name @param {(error: Error) => void} [onTrouble] */
export function diskNamed(name, onTrouble) {
  return new IdbDisk({ openDB, name, onTrouble });
}

/** Ids and time that come again; timers that a test fires by hand. */
export function quietPlatform({ now_ms = START_MS, ids = 0 } = {}) {
  const platform = {
    clock_ms: now_ms,
    ids,
    /** @type {{work: () => void, ms: number}[]} */
    timers: [],
    now_ms: () => platform.clock_ms,
    uuid7: () => {
      platform.ids += 1;
      return idOf(platform.ids);
    },
    digestHex: async (data) => createHash('sha256').update(typeof data === 'string' ? data : new Uint8Array(data)).digest('hex'),
    random: () => 0.5,
    later: (work, ms) => {
      const timer = { work, ms };
      platform.timers.push(timer);
      return () => { platform.timers = platform.timers.filter((known) => known !== timer); };
    },
    withLock: async (_name, work) => work(),
  };
  return platform;
}

/** @param {number} number */
export function idOf(number) {
  return `0198c0de-0000-7000-8000-${number.toString(16).padStart(12, '0')}`;
}

export const ENROLMENT = { device: DEVICE, wall: 'harvest-train', survey: 'W1', epoch: 'epoch-1', name: 'Tablet 1' };

/** An enrolled tablet on a store of its own. */
export async function openTablet({ platform = quietPlatform(), name = freshName() } = {}) {
  const disk = diskNamed(name);
  const log = await TabletLog.open({ disk, platform });
  await log.enrol(ENROLMENT);
  return { disk, log, platform, name };
}

/** @param {import('../sim/fake_server.mjs').FakeServer} server */
export function wireTo(server, { device = DEVICE, account = 'ines' } = {}) {
  const from = { tablet: device };
  const wire = {
    account,
    /** @type {any[]} every push body, as sent */
    pushed: [],
    /** @type {(call: string, answer: any) => any} what a test makes of an answer, or throws */
    meddle: (_call, answer) => answer,
    push: async (body) => {
      wire.pushed.push(structuredClone(body));
      return wire.meddle('push', copied(server.push({ ...from, account: wire.account, text: JSON.stringify(body) })));
    },
    pull: async (after) => wire.meddle('pull', copied(server.pull({ ...from, account: wire.account, after }))),
    blobState: async (digest) => wire.meddle('blobState', copied(server.blobState({ ...from, account: wire.account, digest }))),
    blobPart: async ({ digest, offset, total, bytes }) => wire.meddle('blobPart', copied(server.blobPart({ ...from, account: wire.account, digest, offset, total, bytes: new Uint8Array(bytes).slice() }))),
    session: async () => wire.meddle('session', copied(server.session(wire.account))),
  };
  return wire;
}

/** @param {any} answer */
function copied(answer) {
  return JSON.parse(JSON.stringify(answer));
}

/** @param {Record<string, any>} [more] */
export function observation(more = {}) {
  return {
    object_id: idOf(0xffff), kind: 'observation', observed_by: 'Inês', recorded_by: 'Tomás', parents: [],
    body: { term: 'paint-loss', item: 'C17-1', mode: 'normal', geometry: { type: 'Point', coordinates: [1, 1 / 256] } }, ...more,
  };
}

/** A tablet with its sync, and the server that it speaks with. @param {any} [options] */
export async function speaking({ platform = quietPlatform(), part_bytes } = {}) {
  const tablet = await openTablet({ platform });
  const server = new FakeServer({ now_ms: () => platform.now_ms() });
  server.enrol(DEVICE);
  const wire = wireTo(server);
  /** @type {any[]} */
  const states = [];
  const sync = new Sync({ log: tablet.log, wire, platform, onState: (state) => states.push(state), ...(part_bytes ? { part_bytes } : {}) });
  return { ...tablet, server, wire, sync, states };
}

/** Entries about objects of their own. @param {number} count */
export const drafts = (count) => Array.from({ length: count }, (_, index) => observation({ object_id: idOf(0x10000 + index) }));
