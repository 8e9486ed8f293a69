/**
 * What runs on a tablet? A tablet is a disk, a clock, an account and one or two pages of the shipped client core. A
 * page may die at any await: then nothing of it goes on, and only the disk remembers.
 */
import { createHash } from 'node:crypto';
import { TabletLog } from '../../../../static/js/deck/core/log.js';
import { Sync } from '../../../../static/js/deck/core/sync.js';
import { DiskHandle, MemoryDisk } from './memory_disk.mjs';
import { FaultyWire } from './network.mjs';
import { watchCommit } from './verdict.mjs';
import { atRest } from './virtual_time.mjs';

/** Small, so that a photograph of a few hundred bytes goes up in several parts. */
export const PART_BYTES = 64;

/** @type {Promise<any>} */
const NEVER = new Promise(() => {});

/** @typedef {import('./world.mjs').World} World */

export class Tablet {
  /** @param {World} world @param {{id: string, name: string}} options */
  constructor(world, { id, name }) {
    this.world = world;
    this.id = id;
    this.name = name;
    this.skew_ms = 0;
    /** @type {string | null} */
    this.account = 'ines';
    this.roomForPhotographs = true;
    this.disk = new MemoryDisk((after_ms) => world.time.passed(after_ms));
    this.disk.watchers.push((writes) => watchCommit(world, this, writes));
    /** @type {Map<string, {page: Page}>} */
    this.locks = new Map();
    /** @type {Page[]} */
    this.pages = [];
  }

  open() {
    const page = new Page(this, `${this.name}.${this.pages.length + 1}`);
    this.pages.push(page);
    return page;
  }

  get alive() {
    return this.pages.filter((page) => page.alive);
  }

  /** Pages that have opened the log and speak. */
  get ready() {
    return this.alive.filter((page) => page.sync !== null);
  }
}

export class Page {
  /** @param {Tablet} tablet @param {string} name */
  constructor(tablet, name) {
    this.tablet = tablet;
    this.world = tablet.world;
    this.name = name;
    this.alive = true;
    this.stepsLeft = Infinity;
    this.calls = 0;
    this.told = () => {};
    /** @type {TabletLog | null} */
    this.log = null;
    /** @type {Sync | null} */
    this.sync = null;
    this.platform = this.platformOfPage();
    this.disk = new DiskHandle(tablet.disk, () => this.lives());
  }

  async start() {
    const { time, server, chance, weather } = this.world;
    this.log = await TabletLog.open({ disk: this.disk, platform: this.platform });
    if (!this.log.enrolment()) await this.log.enrol(this.world.enrolmentOf(this.tablet));
    const wire = new FaultyWire({ time, server, chance: chance.fork(), page: this, weather });
    this.sync = new Sync({ log: this.log, wire, platform: this.platform, onState: () => {}, part_bytes: PART_BYTES });
    this.sync.start();
  }

  kill() {
    if (!this.alive) return;
    this.alive = false;
    this.world.weather.note(`${this.name} dies`);
    for (const [name, lock] of this.tablet.locks) if (lock.page === this) this.tablet.locks.delete(name);
  }

  /** A point at which the page may die. */
  lives() {
    if (this.alive && --this.stepsLeft <= 0) this.kill();
    return this.alive;
  }

  /** The same, to be awaited: when the page dies here, the await never ends. @returns {Promise<any>} */
  step() {
    return this.lives() ? NOTHING : NEVER;
  }

  /** One page of a tablet speaks with the server at a time. */
  speaks() {
    this.calls += 1;
    for (const page of this.tablet.pages) if (page !== this && page.alive && page.calls > 0) this.world.faults.push(`${page.name} and ${this.name} speak at once`);
  }

  /** @returns {import('../../../../static/js/deck/core/platform.js').Platform} */
  platformOfPage() {
    const { time, chance } = this.world;
    const own = chance.fork();
    return {
      now_ms: () => time.now_ms + this.tablet.skew_ms,
      uuid7: () => this.world.newId(),
      digestHex: async (data) => {
        await this.step();
        await atRest(); // no work inside a transaction may wait for it
        return createHash('sha256').update(typeof data === 'string' ? data : new Uint8Array(data)).digest('hex');
      },
      random: () => own.part(),
      later: (work, ms) => time.later(() => this.alive && work(), ms),
      withLock: (name, work) => this.withLock(name, work),
      room: async () => ({ usage: this.tablet.disk.bytes, quota: this.tablet.roomForPhotographs ? 1e10 : 1e7 }),
      among: (_name, told) => this.among(told),
    };
  }

  /** What one page tells, the others hear a little later. @param {() => void} told */
  among(told) {
    this.told = told;
    return () => {
      for (const page of this.tablet.pages) if (page !== this && page.alive) this.world.time.later(() => page.alive && page.told(), 1);
    };
  }

  /** @template T @param {string} name @param {() => Promise<T>} work @returns {Promise<T | undefined>} */
  async withLock(name, work) {
    await this.step();
    if (!this.alive) return NEVER; // it died while it was asking
    const { locks } = this.tablet;
    if (locks.has(name)) return undefined;
    const lock = { page: this };
    locks.set(name, lock);
    try {
      return await work();
    } finally {
      if (locks.get(name) === lock) locks.delete(name);
    }
  }
}

const NOTHING = Promise.resolve();
