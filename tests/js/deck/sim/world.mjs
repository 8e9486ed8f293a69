/**
 * Does the shipped client core keep its promises in one sequence? Up to three tablets with up to two pages each work on
 * one survey while things go wrong; then all is healed, and what was promised is looked for. Same seed, same sequence.
 */
import { createHash } from 'node:crypto';
import { FakeServer } from './fake_server.mjs';
import { DAY_MS, MISHAPS, heal } from './mishaps.mjs';
import { NETWORK_FAULTS } from './network.mjs';
import { operate } from './operations.mjs';
import { Page, Tablet } from './page.mjs';
import { Promised } from './promised.mjs';
import { Chance } from './random.mjs';
import { openWork, verdict } from './verdict.mjs';
import { VirtualTime } from './virtual_time.mjs';

const START_MS = Date.UTC(2026, 10, 25, 8);
const STEPS = 25;
/** Healed, all must be up within so long; the longest wait between two tries is far below. */
const SETTLES_WITHIN_MS = 30 * 60_000;

export class World {
  /** @param {number} seed */
  constructor(seed) {
    this.seed = seed;
    this.chance = new Chance(seed);
    this.time = new VirtualTime(START_MS);
    this.numbers = 0;
    /** @type {string[]} */
    this.faults = [];
    /** @type {string[]} what happened, in order */
    this.trace = [];
    this.weather = new Weather(this);
    this.server = new FakeServer({ now_ms: () => this.time.now_ms });
    this.promised = new Promised((fault) => this.faults.push(fault));
    /** @type {{at_ms: number, state: ReturnType<FakeServer['backup']>} | null} */
    this.lastBackup = null;
    this.epochs = 1;
    /** @type {Tablet[]} */
    this.tablets = [];
  }

  /** The whole sequence: what was found wrong. @returns {Promise<string[]>} */
  async run() {
    this.begin();
    for (let step = 0; step < STEPS && this.faults.length === 0; step += 1) await this.step();
    if (this.faults.length === 0) await this.settle();
    for (const tablet of this.tablets) tablet.alive.forEach((page) => page.kill());
    this.time.clear();
    return this.faults;
  }

  begin() {
    const count = this.chance.pick([1, 1, 1, 2, 2, 3]);
    for (let place = 0; place < count; place += 1) {
      const tablet = new Tablet(this, { id: this.newId(), name: `tablet ${place + 1}` });
      this.server.enrol(tablet.id);
      this.tablets.push(tablet);
      this.openPage(tablet);
    }
    this.backUp();
    this.weather.choose();
  }

  async step() {
    const tablet = this.chance.pick(this.tablets);
    if (this.weather.mishaps.length > 0 && this.chance.happens(0.25)) {
      const mishap = this.chance.pick(this.weather.mishaps);
      this.weather.note(`${tablet.name}: ${mishap}`);
      MISHAPS[mishap](this, tablet);
    } else if (tablet.alive.length === 0) {
      this.openPage(tablet);
    } else {
      const { ready } = tablet;
      if (ready.length > 0) void operate(this, this.chance.pick(ready));
    }
    if (this.chance.happens(0.03)) this.sleep();
    await this.time.run(this.time.now_ms + this.pause_ms());
  }

  /** The tablets lie in a drawer for half a month. */
  sleep() {
    this.weather.note('all sleep');
    this.time.sleep(15 * DAY_MS);
  }

  pause_ms() {
    if (this.chance.happens(0.05)) return 90_000;
    return this.chance.pick([0, 0, 50, 400, 3000, 12_000]);
  }

  async settle() {
    heal(this);
    this.weather.note('healed');
    const latest_ms = this.time.now_ms + SETTLES_WITHIN_MS;
    while (this.time.now_ms < latest_ms && this.faults.length === 0) {
      await this.time.run(this.time.now_ms + 15_000);
      if (openWork(this) === '') break;
    }
    const open = openWork(this);
    if (open) this.faults.push(`not settled after ${SETTLES_WITHIN_MS / 60_000} min: ${open}`);
    if (this.faults.length === 0) this.faults.push(...verdict(this));
  }

  /** @param {Tablet} tablet */
  openPage(tablet) {
    const page = tablet.open();
    this.weather.note(`${page.name} opens`);
    void page.start().catch((fault) => {
      this.promised.trouble({ page, fault });
      page.kill(); // the person closes a page that does not start, and opens it again
    });
    return page;
  }

  /** @param {Tablet} tablet */
  enrolmentOf(tablet) {
    return { device: tablet.id, wall: 'harvest-train', survey: 'W1', epoch: this.server.epoch, name: tablet.name };
  }

  backUp() {
    this.lastBackup = { at_ms: this.time.now_ms, state: this.server.backup() };
  }

  /** Tablets hold what they sent for 14 days: an older backup than that is more than they promise to mend. */
  recover() {
    if (!this.lastBackup || this.time.now_ms - this.lastBackup.at_ms > 13 * DAY_MS) return;
    this.epochs += 1;
    this.server.recover(this.lastBackup.state, `epoch-${this.epochs}`);
  }

  /** Somebody at the desk corrects an outline, or says a thing that an older page does not know. */
  deskWrites() {
    const { rows } = this.server;
    const known = rows.filter((row) => row.statement.kind === 'observation');
    const about = known.length ? this.chance.pick(known).statement : { id: null, object_id: this.newId() };
    const kind = this.chance.happens(0.3) ? 'reading-room' : 'observation';
    this.server.desk({
      body: { term: 'paint-loss', note: 'from the desk' },
      id: this.newId(),
      kind,
      kind_version: 1,
      made_at: '2026-11-25T09:00:00Z',
      object_id: kind === 'observation' ? about.object_id : this.newId(),
      observed_by: 'Tomás',
      parents: kind === 'observation' && about.id ? [about.id] : [],
      recorded_by: 'Tomás',
    });
  }

  newNumber() {
    this.numbers += 1;
    return this.numbers;
  }

  /** Ids that come again with the seed. */
  newId() {
    const number = this.newNumber().toString(16).padStart(12, '0');
    const time = Math.floor(this.time.now_ms).toString(16).padStart(12, '0');
    return `${time.slice(0, 8)}-${time.slice(8)}-7000-8000-${number}`;
  }

  /** A digest of all that happened and of what stands at the end. */
  traceHash() {
    const log = this.server.rows.map((row) => row.digest);
    return createHash('sha256').update(JSON.stringify([this.trace, log, this.time.now_ms, this.time.events])).digest('hex');
  }
}

/** Which faults a sequence meets, and what happened. */
class Weather {
  /** @param {World} world */
  constructor(world) {
    this.world = world;
    /** @type {string[]} */
    this.network = [];
    /** @type {string[]} */
    this.mishaps = [];
    this.share = 0;
  }

  choose() {
    const { chance } = this.world;
    this.share = chance.pick([0.05, 0.2, 0.5]);
    const kinds = 1 + chance.under(5);
    for (let count = 0; count < kinds; count += 1) {
      if (chance.happens(0.4)) this.network.push(chance.pick([...NETWORK_FAULTS]));
      else this.mishaps.push(chance.pick(Object.keys(MISHAPS)));
    }
    this.note(`faults: ${[...this.network, ...this.mishaps].join(', ')}`);
  }

  calm() {
    this.share = 0;
  }

  /** The fault of one call, if any. */
  fault() {
    const { chance } = this.world;
    if (this.share === 0 || this.network.length === 0 || !chance.happens(this.share)) return null;
    return chance.pick(this.network);
  }

  /** @param {string} text */
  note(text) {
    this.world.trace.push(`${this.world.time.now_ms - START_MS} ${text}`);
  }
}

/** Run one sequence. @param {number} seed */
export async function runSequence(seed) {
  const world = new World(seed);
  const faults = await world.run();
  return { world, faults };
}
