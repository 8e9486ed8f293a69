/**
 * What goes wrong in a sequence beside the network? Each mishap is named; a sequence draws a few of them, and `heal`
 * takes back all that lasts.
 */
import { QuotaReached } from './memory_disk.mjs';
import { forget } from './operations.mjs';

/** @typedef {import('./world.mjs').World} World */
/** @typedef {import('./page.mjs').Tablet} Tablet */

export const DAY_MS = 86_400_000;
/** What the server holds stays on the tablet for so long. */
export const KEPT_DAYS_MS = 14 * DAY_MS;

/** @type {Record<string, (world: World, tablet: Tablet) => void>} */
export const MISHAPS = {
  'page killed at an await': (world, tablet) => {
    for (const page of tablet.alive) page.stepsLeft = 1 + world.chance.under(40);
  },
  'page killed now': (world, tablet) => {
    const [page] = tablet.alive;
    page?.kill();
  },
  'two pages': (world, tablet) => {
    if (tablet.alive.length < 2) world.openPage(tablet);
  },
  'disk write fails once': (world, tablet) => {
    const failing = tablet.disk.commits + 1 + world.chance.under(4);
    tablet.disk.failing = (commit) => (commit === failing ? new Error('The disk failed to write.') : null);
  },
  'disk write fails': (world, tablet) => {
    const first = tablet.disk.commits + 1 + world.chance.under(4);
    tablet.disk.failing = (commit) => (commit === first || commit === first + 1 ? new Error('The disk failed to write.') : null);
  },
  'disk drops after a commit': (world, tablet) => {
    const dropped = tablet.disk.commits + 1 + world.chance.under(4);
    tablet.disk.dropping = (commit) => commit === dropped;
  },
  'quota reached': (world, tablet) => {
    const { disk } = tablet;
    disk.quota_bytes = disk.quota_bytes === Infinity ? disk.bytes + world.chance.under(900) : Infinity;
  },
  'quota reached at one write': (world, tablet) => {
    const failing = tablet.disk.commits + 1 + world.chance.under(4);
    tablet.disk.failing = (commit) => (commit === failing ? new QuotaReached() : null);
  },
  'little room for photographs': (world, tablet) => {
    tablet.roomForPhotographs = !tablet.roomForPhotographs;
  },
  'slow disk': (world, tablet) => {
    tablet.disk.slowness_ms = () => world.chance.under(3000);
  },
  'device clock jumps': (world, tablet) => {
    tablet.skew_ms += Math.floor((world.chance.part() - 0.5) * world.chance.pick([600_000, 80 * DAY_MS]));
    for (const page of tablet.ready) void forget(world, page); // as each page does when it is looked at again
  },
  'login expires': (world, tablet) => {
    tablet.account = null;
  },
  'wrong account': (world, tablet) => {
    tablet.account = 'gil';
  },
  'another person carries it': (world, tablet) => {
    tablet.account = 'tomas';
  },
  'backup taken': (world) => {
    world.backUp();
  },
  'server put back to an older state': (world) => {
    world.recover();
  },
  'survey closed': (world) => {
    world.server.surveyState = world.server.surveyState === 'open' ? 'sealed' : 'open';
  },
  'lead takes what was set aside': ({ server }) => {
    for (const aside of [...server.asides]) server.takeAside(aside);
  },
  'tablet retired': (world, tablet) => {
    world.server.retire(tablet.id);
  },
  'server newer than the page': (world) => {
    world.server.dressed = (answer) => ({ ...answer, reading_rooms: 2, contracts: [1, 2] });
  },
  'desk writes': (world) => {
    world.deskWrites();
  },
};

/** Take back what lasts. A retired tablet stays retired, and a clock stays where it jumped to. @param {World} world */
export function heal(world) {
  world.weather.calm();
  world.server.surveyState = 'open';
  for (const tablet of world.tablets) {
    tablet.account = 'ines';
    tablet.disk.quota_bytes = Infinity;
    tablet.roomForPhotographs = true;
    tablet.disk.failing = () => null;
    tablet.disk.dropping = () => false;
    tablet.disk.slowness_ms = () => 0;
    for (const page of tablet.alive) page.stepsLeft = Infinity;
    if (tablet.alive.length === 0) world.openPage(tablet);
  }
}
