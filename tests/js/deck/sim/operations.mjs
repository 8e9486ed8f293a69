/**
 * What do people do on a tablet in a sequence? They draw, correct, withdraw, examine, photograph and read, on any page
 * that is alive; each append that is reported as kept is remembered, to be looked for on the server at the end.
 */

/** @typedef {import('./page.mjs').Page} Page */
/** @typedef {import('./world.mjs').World} World */

const CELLS = ['C17', 'C18', 'D17'];

/** The kinds of operation and how often each is drawn. @type {[number, (world: World, page: Page) => void | Promise<void>][]} */
export const OPERATIONS = [
  [30, observe],
  [12, correct],
  [4, withdraw],
  [10, examine],
  [6, observeSeveral],
  [3, sayNonsense],
  [10, photograph],
  [10, putVertex],
  [8, putDown],
  [8, tryNow],
  [4, forget],
  [6, prepare],
];

/** @param {World} world @param {Page} page */
export function operate(world, page) {
  let place = world.chance.under(TOTAL);
  for (const [weight, operation] of OPERATIONS) {
    place -= weight;
    if (place < 0) {
      world.weather.note(`${page.name} ${operation.name}`);
      return operation(world, page);
    }
  }
}

const TOTAL = OPERATIONS.reduce((sum, [weight]) => sum + weight, 0);

/** @param {World} world @param {string} kind @param {any} body @param {{object_id?: string, parents?: string[]}} [place] */
function draftOf(world, kind, body, { object_id = world.newId(), parents = [] } = {}) {
  return { id: world.newId(), object_id, kind, body, parents, observed_by: world.chance.pick(['Inês', 'Tomás']), recorded_by: 'Priya' };
}

/** @param {World} world */
function outline(world) {
  const x = world.chance.under(4096) / 256;
  return { term: 'paint-loss', item: `C17-${world.chance.under(9)}`, mode: 'normal', note: `seen at ${x} in`, geometry: { type: 'Point', coordinates: [x, x + 1 / 256] } };
}

/** @param {World} world @param {Page} page */
function observe(world, page) {
  return append(world, page, draftOf(world, 'observation', outline(world)));
}

/** @param {World} world @param {Page} page */
function observeSeveral(world, page) {
  const drafts = Array.from({ length: 2 + world.chance.under(3) }, () => draftOf(world, 'observation', outline(world)));
  return append(world, page, drafts);
}

/** @param {World} world @param {Page} page */
async function correct(world, page) {
  const head = await someHead(world, page);
  if (!head) return observe(world, page);
  return append(world, page, draftOf(world, 'observation', outline(world), { object_id: head.object_id, parents: [head.id] }));
}

/** @param {World} world @param {Page} page */
async function withdraw(world, page) {
  const head = await someHead(world, page);
  if (!head) return;
  return append(world, page, draftOf(world, 'withdrawal', { reason: 'drawn twice', note: 'see beside' }, { object_id: head.object_id, parents: [head.id] }));
}

/** Two tablets that examine the same cell meet in one object. @param {World} world @param {Page} page */
function examine(world, page) {
  const cell = world.chance.under(CELLS.length);
  const body = { cell: CELLS[cell], layout: 1, mode: 'normal', state: world.chance.pick(['seen', 'touch']), note: '' };
  return append(world, page, draftOf(world, 'examination', body, { object_id: `0000000${cell}-0000-5000-8000-000000000000` }));
}

/** What the server sets aside. @param {World} world @param {Page} page */
function sayNonsense(world, page) {
  const wrong = [
    () => draftOf(world, 'mystery', { note: 'of no kind' }),
    () => draftOf(world, 'observation', { note: 'no term' }),
    () => draftOf(world, 'observation', outline(world), { parents: [world.newId()] }),
  ];
  return append(world, page, world.chance.pick(wrong)());
}

/** @param {World} world @param {Page} page */
async function photograph(world, page) {
  const bytes = new Uint8Array(1 + world.chance.under(world.chance.happens(0.3) ? 300 : 60));
  for (let place = 0; place < bytes.length; place += 1) bytes[place] = world.chance.bits();
  const digest = await told(world, page, () => page.log?.keepPhotograph({ bytes: bytes.buffer.slice(0), mime: 'image/jpeg' }));
  if (typeof digest !== 'string') return;
  world.promised.photographKept({ page, digest, bytes });
  await append(world, page, draftOf(world, 'photograph', { digest, role: 'note', cell: 'C17', note: 'from the deck' }));
}

/** @param {World} world @param {Page} page */
async function putVertex(world, page) {
  const draft = world.promised.openDraft(page.tablet) ?? world.newId();
  const n = world.newNumber();
  const kept = await told(world, page, async () => {
    await page.disk.run(['drafts', 'steps'], 'readwrite', async (tx) => {
      await tx.put('drafts', { id: draft, n });
      await tx.put('steps', { draft, n, point: [n, 1 / 256] });
    });
    return true;
  });
  if (kept) world.promised.vertexKept({ page, draft, n });
}

/** The outline under the pen becomes an entry, and the draft goes with it. @param {World} world @param {Page} page */
async function putDown(world, page) {
  const clearingDraft = world.promised.openDraft(page.tablet);
  if (!clearingDraft) return;
  const draft = draftOf(world, 'observation', outline(world));
  world.promised.puttingDown({ draft: clearingDraft, entry: draft.id });
  await append(world, page, draft, { clearingDraft });
}

/** @param {World} world @param {Page} page */
function tryNow(world, page) {
  void told(world, page, async () => page.sync?.tryNow());
}

/** @param {World} world @param {Page} page */
export async function forget(world, page) {
  await told(world, page, () => page.log?.forget(page.platform.now_ms()));
}

/** A pack is fetched: what it counts in need not stay on the tablet as entries. @param {World} world @param {Page} page */
async function prepare(world, page) {
  const { epoch, rows } = world.server;
  await told(world, page, () => page.disk.run(['pack'], 'readwrite', (tx) => tx.put('pack', { name: 'pack', pack: { epoch, head: rows.length } })));
}

/** @param {World} world @param {Page} page @param {any} drafts @param {any} [options] */
async function append(world, page, drafts, options) {
  const ids = [drafts].flat().map((/** @type {any} */ draft) => draft.id);
  let kept;
  try {
    kept = await page.log?.append(drafts, options);
  } catch (fault) {
    world.promised.refused({ page, ids, fault });
    return;
  }
  if (page.alive) world.promised.kept({ page, ids, kept });
}

/** What the page says; a refusal is said too and keeps nothing. @template T @param {World} world @param {Page} page @param {() => Promise<T> | undefined} work */
async function told(world, page, work) {
  try {
    return await work();
  } catch (fault) {
    world.promised.trouble({ page, fault });
    return undefined;
  }
}

/** An outline of which this page knows the head. @param {World} world @param {Page} page */
async function someHead(world, page) {
  const entries = await told(world, page, async () => page.log?.entries());
  const outlines = (entries ?? []).filter((/** @type {any} */ entry) => entry.kind === 'observation');
  return outlines.length ? world.chance.pick(outlines) : undefined;
}
