/**
 * What of all that was promised stands at the end? Holds the tablets' disks and the server's log against each other and
 * against what the pages said: nothing lost, nothing twice, no view that differs, nothing forgotten early.
 */
import { byObject, headsOf } from '../../../../static/js/deck/core/view.js';
import { KEPT_DAYS_MS } from './mishaps.mjs';

/** @typedef {import('./world.mjs').World} World */
/** @typedef {import('./page.mjs').Tablet} Tablet */
/** @typedef {import('./fake_server.mjs').Row} Row */

/** What is still to be sent or pulled, in words; the empty text when all is at rest. @param {World} world */
export function openWork({ tablets, server }) {
  for (const { name, disk, alive } of tablets) {
    const waiting = disk.stores.get('outbox')?.size ?? 0;
    if (waiting) return `${name} holds ${waiting} unsent entries`;
    if (disk.values('blobs').some(({ digest }) => !server.blobs.has(digest))) return `${name} holds unsent photographs`;
    const sync = disk.read('meta', 'sync');
    if (sync?.epoch !== server.epoch) return `${name} has not seen ${server.epoch}`;
    if (sync.cursor !== server.rows.length) return `${name} has pulled ${sync.cursor} of ${server.rows.length}`;
    for (const page of alive) {
      const unsent = page.log?.unsent();
      if (!page.sync || unsent?.entries || unsent?.photographs) return `${page.name} shows ${JSON.stringify(unsent)} as unsent`;
    }
  }
  return '';
}

/** What is wrong, in words. @param {World} world @returns {string[]} */
export function verdict(world) {
  return [...lostOrTwice(world), ...wrongNumbers(world), ...wrongPhotographs(world), ...wrongDrafts(world), ...world.tablets.flatMap((tablet) => diverged(world, tablet))];
}

/** @param {World} world */
function lostOrTwice({ promised, server, tablets }) {
  const found = [];
  const times = counted([...server.rows, ...waiting(server)].map(({ statement, digest }) => `${statement.id} ${digest}`));
  for (const [id, { digest, tablet }] of promised.entries) {
    const count = times.get(`${id} ${digest}`) ?? 0;
    if (count !== 1) found.push(`${count ? 'DUPLICATED' : 'LOST'}: entry ${id} of ${tablet.name} is on the server ${count} times`);
  }
  for (const tablet of tablets) {
    for (const { id, digest, own } of tablet.disk.values('entries')) {
      if (own && times.get(`${id} ${digest}`) !== 1) found.push(`LOST: entry ${id} on the disk of ${tablet.name} is on the server ${times.get(`${id} ${digest}`) ?? 0} times`);
    }
  }
  for (const [id, count] of counted(server.rows.map(({ statement }) => statement.id))) if (count > 1) found.push(`DUPLICATED: entry ${id} has ${count} places`);
  return found;
}

/** What was set aside and has not become an entry since. @param {World['server']} server */
function waiting({ asides }) {
  return asides.filter(({ settled }) => !settled);
}

/** The numbers of a tablet are given once and without a gap; what was garbled on the way does not count. @param {World} world */
function wrongNumbers({ server, tablets, promised }) {
  const found = [];
  for (const tablet of tablets) {
    const device = `tablet ${tablet.id}`;
    const held = [...server.rows, ...waiting(server)].filter((row) => row.device === device && promised.written.get(row.statement.id) === row.digest);
    const numbers = held.map(({ device_seq }) => device_seq ?? -1).sort((one, other) => one - other);
    const last = tablet.disk.read('meta', 'numbers')?.device_seq ?? 0;
    if (numbers.length !== last || numbers.some((number, place) => number !== place + 1)) found.push(`DUPLICATED: ${tablet.name} gave the numbers ${numbers} and says ${last}`);
  }
  return found;
}

/** @param {World} world */
function wrongPhotographs({ promised, server }) {
  const found = [];
  for (const [digest, { tablet, bytes }] of promised.photographs) {
    const there = server.blobs.get(digest)?.bytes;
    if (!there || Buffer.compare(there, bytes) !== 0) found.push(`LOST: photograph ${digest} of ${tablet.name}`);
  }
  return found;
}

/** An outline under the pen stands whole until it became an entry. @param {World} world */
function wrongDrafts({ promised, tablets }) {
  const found = [];
  const steps = new Map(tablets.map((tablet) => [tablet, counted(tablet.disk.values('steps').map(({ draft, n }) => `${draft} ${n}`))]));
  for (const [id, { tablet, vertices, entry }] of promised.drafts) {
    const isEntry = entry !== null && promised.written.has(entry);
    const there = vertices.filter((n) => steps.get(tablet)?.has(`${id} ${n}`)).length;
    if (!isEntry && there !== vertices.length) found.push(`LOST: ${vertices.length - there} vertices of a draft on ${tablet.name}`);
    if (isEntry && there) found.push(`DUPLICATED: a draft on ${tablet.name} is an entry and stands too`);
  }
  return found;
}

/** @param {World} world @param {Tablet} tablet */
function diverged({ server }, tablet) {
  const found = [];
  const local = new Map(tablet.disk.values('entries').map((row) => [row.id, row]));
  const packed = tablet.disk.read('pack', 'pack')?.pack.head ?? 0;
  server.rows.forEach((row) => {
    const own = local.get(row.statement.id);
    const isForgotten = !own && row.device === `tablet ${tablet.id}` && row.seq <= packed;
    if (!isForgotten && (own?.digest !== row.digest || own?.seq !== row.seq)) found.push(`DIVERGED: ${tablet.name} holds place ${row.seq} as ${own?.digest} at ${own?.seq}, not ${row.digest}`);
  });
  for (const row of local.values()) {
    const there = server.byId.get(row.id);
    if (row.seq !== null ? there?.seq !== row.seq : !row.own || !row.aside) found.push(`DIVERGED: ${tablet.name} holds ${row.id} at ${row.seq}, the server at ${there?.seq}`);
  }
  found.push(...otherHeads(server, tablet, [...local.values()].filter(({ seq }) => seq !== null)));
  return found;
}

/** @param {World['server']} server @param {Tablet} tablet @param {any[]} rows */
function otherHeads(server, tablet, rows) {
  const found = [];
  const seen = byObject(rows);
  for (const [object, said] of seen) {
    const family = server.byObject.get(object) ?? [];
    if (said.length !== family.length) continue; // a part was forgotten: the pack holds it
    const replaced = new Set(family.flatMap(({ statement }) => statement.parents));
    const heads = family.map(({ statement }) => statement.id).filter((id) => !replaced.has(id));
    const shown = headsOf(said).map(({ id }) => id);
    if (shown.sort().join() !== heads.sort().join()) found.push(`DIVERGED: ${tablet.name} shows heads ${shown} of ${object}, the server ${heads}`);
  }
  return found;
}

/**
 * Hold each commit of a tablet against what it may let go of: an entry or a photograph leaves the disk only when the
 * server has held it for 14 days, and the outbox only what the server has taken.
 * @param {World} world @param {Tablet} tablet @param {import('./memory_disk.mjs').Write[]} writes
 */
export function watchCommit({ server, promised, time }, tablet, writes) {
  for (const { name, key, value, gone } of writes) {
    if (name === 'entries' && !gone && value.own) promised.wrote(tablet, value);
    if (name === 'outbox' && !gone) promised.numbers.set(`${tablet.id} ${key}`, value.id);
    if (!gone || (name === 'entries' && promised.writers.get(key) !== tablet)) continue; // another's, which a recovered server lost
    if (name === 'outbox') {
      const id = promised.numbers.get(`${tablet.id} ${key}`) ?? '';
      if (!server.taken.has(`${id} ${promised.written.get(id)}`)) promised.broken(`${tablet.name} let entry ${id} go before the server took it`);
    }
    if (name === 'entries' || name === 'bytes') promised.forgotten += 1;
    if (name === 'entries' && (!heldLong(server.byId.get(key), time.now_ms) || !passed(server, tablet, key))) promised.broken(`${tablet.name} forgot entry ${key} too early`);
    if (name === 'bytes' && !heldLong(server.blobs.get(key), time.now_ms)) promised.broken(`${tablet.name} forgot photograph ${key} too early`);
  }
}

/** The pull has gone beyond this entry. @param {World['server']} server @param {Tablet} tablet @param {string} id */
function passed(server, tablet, id) {
  return tablet.disk.read('meta', 'sync').cursor >= (server.byId.get(id)?.seq ?? Infinity);
}

/** @param {{at_ms: number} | undefined} held @param {number} now_ms */
function heldLong(held, now_ms) {
  return held !== undefined && now_ms - held.at_ms >= KEPT_DAYS_MS;
}

/** @param {string[]} things */
function counted(things) {
  /** @type {Map<string, number>} */
  const times = new Map();
  for (const thing of things) times.set(thing, (times.get(thing) ?? 0) + 1);
  return times;
}
