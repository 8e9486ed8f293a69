import assert from 'node:assert/strict';
import { test } from 'node:test';
import { acknowledge, storePage } from '../../../static/js/deck/core/received.js';
import { TabletLog } from '../../../static/js/deck/core/log.js';
import { DeckRecord } from '../../../static/js/deck/record.js';
import { continuationId, examinationId } from '../../../static/js/wall/statements.js';
import { Store } from '../../../static/js/wall/state.js';
import { failWrites } from './core/failing_writes.mjs';
import { START_MS, diskNamed, idOf, openTablet, quietPlatform } from './core/tablet.mjs';

const SURVEY = idOf(0xabc);
const PRIOR = { id: idOf(0xd1), entry: idOf(0xe1), item: 'C17-1', term: 'paint-loss', mode: 'normal', basis: 'drawn', cells: ['C17'], continues: [], conflict: false, observed_on: '2025-11-18', geometry: square(10) };
const STATED = { term: 'paint-loss', item: 'C17-2', mode: 'normal' };

/** @param {number} at_in */
function square(at_in) {
  return { type: 'Polygon', coordinates: [[[at_in, 1], [at_in + 2, 1], [at_in + 2, 3], [at_in, 3], [at_in, 1]]] };
}

/** @param {any} [boot] */
function packWith(boot = {}) {
  return { epoch: 'epoch-1', head: 0, boot: { survey: { id: SURVEY, layout: 1, vocabulary: 2 }, account: { name: 'Tomás' }, previous_outlines: [PRIOR], outlines: [], examinations: [], withdrawn: {}, heads: {}, sessions: [], stops: [], ...boot } };
}

function freshStore() {
  return new Store(/** @type {any} */ ({ recordStep: 0, examinationStep: 0, mode: 'normal', chosen: null, session: null }));
}

/** @param {any} [options] */
async function open({ boot = {}, tablet } = {}) {
  const at = tablet ?? await openTablet();
  const store = freshStore();
  const plan = /** @type {any} */ ({ layout: 1, cellsInBox: () => ['C17'] });
  const record = await DeckRecord.open({ log: at.log, pack: packWith(boot), plan, store, platform: at.platform });
  return { ...at, record, store };
}

/** The page is closed and opened again on the same disk. @param {any} tablet */
async function reopened({ name, platform }) {
  const again = quietPlatform({ ids: platform.ids });
  const disk = diskNamed(name);
  return open({ tablet: { name, disk, platform: again, log: await TabletLog.open({ disk, platform: again }) } });
}

test('an outline stands in the record only when it stands on the disk', async () => {
  const { record } = await open();
  const putting = record.putDown({ geometry: square(1), stated: STATED });
  assert.equal(record.outlines.size, 0);

  const outline = await putting;

  assert.equal(record.outlines.get(outline.id), outline);
  assert.deepEqual([outline.area_sq_in, outline.cells, outline.pending, outline.conflict], [4, ['C17'], true, false]);
});

test('what the disk refused does not stand, and undo knows nothing of it', async () => {
  const { record } = await open();
  failWrites({ at: 1, way: 'fails at commit', lasting: true });

  await assert.rejects(record.putDown({ geometry: square(1), stated: STATED }));

  failWrites();
  assert.deepEqual([record.outlines.size, record.actCount, await record.undoAct()], [0, 0, undefined]);
});

test('observer and recorder stand on every entry, changed by one tap', async () => {
  const { log, record } = await open();
  await record.putDown({ geometry: square(1), stated: STATED });
  Object.assign(record.author, { observer: 'Inês', recorder: 'Priya' });
  await record.say('fragment', { bag: '12', cell: 'C17', found_on: '2026-11-25' });

  const said = (await log.entries()).map(({ observed_by, recorded_by }) => [observed_by, recorded_by]);

  assert.deepEqual(said, [['Tomás', 'Tomás'], ['Inês', 'Priya']]);
});

test('an observation names the open session', async () => {
  const { log, record, store } = await open();
  store.set(/** @type {any} */ ({ session: { id: idOf(1), label: 'W1 2026-11-25, Inês' } }));

  await record.putDown({ geometry: square(1), stated: STATED });

  assert.equal((await log.entries())[0].body.session, 'W1 2026-11-25, Inês');
});

test('seen without change meets the same object on every tablet and closes the old outline', async () => {
  const { record } = await open();
  assert.deepEqual(record.openPrevious().map(({ id }) => id), [PRIOR.id]);

  const outline = await record.seenNoChange(/** @type {any} */ (PRIOR));

  assert.deepEqual([outline.id, outline.basis, outline.continues, record.openPrevious()], [continuationId(SURVEY, PRIOR.id), 'seen-no-change', [PRIOR.id], []]);
});

test('a correction names what it corrects, also what stands in the pack alone', async () => {
  const standing = { ...PRIOR, id: idOf(0xd2), entry: idOf(0xe2) };
  const { log, record } = await open({ boot: { outlines: [standing], heads: { [standing.id]: [standing.entry] } } });

  const outline = await record.putDown({ geometry: square(5), stated: STATED, objectId: standing.id });

  assert.deepEqual([(await log.entries())[0].parents, outline.conflict, record.headsOf(standing.id)], [[standing.entry], false, [outline.entry]]);
});

test('a hundred and more acts are taken back and done again, over restarts of the page', async () => {
  let tablet = await open();
  for (let number = 0; number < 110; number += 1) await tablet.record.putDown({ geometry: square(number), stated: { ...STATED, item: `C17-${number}` } });
  tablet = await reopened(tablet);
  assert.deepEqual([tablet.record.actCount, tablet.record.outlines.size], [110, 110]);

  for (let number = 0; number < 110; number += 1) await tablet.record.undoAct();
  assert.deepEqual([tablet.record.outlines.size, tablet.record.actCount, await tablet.record.undoAct()], [0, 0, undefined]);
  tablet = await reopened(tablet);
  for (let number = 0; number < 110; number += 1) await tablet.record.redoAct();

  assert.deepEqual([tablet.record.outlines.size, tablet.record.actCount, tablet.record.canRedo], [110, 110, false]);
});

test('taking back says so on record, and doing again states the same again', async () => {
  const { log, record } = await open();
  const outline = await record.putDown({ geometry: square(1), stated: { ...STATED, note: 'brown' } });

  await record.undoAct();
  const withdrawn = record.maps.withdrawn.get(outline.id);
  await record.redoAct();

  const [first, withdrawal, again] = await log.entries();
  assert.deepEqual([withdrawal.kind, withdrawal.body, withdrawal.parents, withdrawn], ['withdrawal', { reason: 'undone at once' }, [first.id], withdrawal.id]);
  assert.deepEqual([again.body, again.parents], [first.body, [withdrawal.id]]);
});

test('a correction taken back is the outline before it', async () => {
  const { record } = await open();
  const outline = await record.putDown({ geometry: square(1), stated: STATED });
  await record.putDown({ geometry: square(7), stated: { ...STATED, note: 'grown' }, objectId: outline.id });

  await record.undoAct();

  const shown = record.outlines.get(outline.id);
  assert.deepEqual([shown?.geometry, shown?.note, record.actCount], [square(1), undefined, 1]);
});

test('a withdrawal can be taken back', async () => {
  const { record } = await open();
  const outline = await record.putDown({ geometry: square(1), stated: STATED });
  await record.withdraw(outline.id, 'drawn twice');
  assert.equal(record.outlines.size, 0);

  await record.undoAct();

  assert.deepEqual(record.outlines.get(outline.id)?.geometry, square(1));
});

test('of two versions both are known, one is drawn as a conflict, and a correction settles nothing', async () => {
  const { disk, log, record } = await open();
  const outline = await record.putDown({ geometry: square(1), stated: STATED });
  const [own] = await log.entries();
  const other = { ...own, id: idOf(0xffe), body: { ...own.body, note: 'from another tablet' }, seq: 2, digest: '1'.repeat(64), observed_by: 'Gil' };
  await acknowledge(disk, [{ id: own.id, digest: own.digest, status: 'stored', seq: 1 }], { epoch: 'epoch-1', at_ms: START_MS, server_ms: null });
  log.changed(/** @type {any} */ (await storePage(disk, [{ ...own, seq: 1 }, other], { epoch: 'epoch-1', at_ms: START_MS, server_ms: null })));
  const shown = record.outlines.get(outline.id);
  assert.deepEqual([record.headsOf(outline.id), shown?.conflict, shown?.entry], [[own.id, other.id], true, other.id]);

  await record.putDown({ geometry: square(3), stated: STATED, objectId: outline.id });

  const heads = record.headsOf(outline.id);
  assert.deepEqual([heads.length, heads[0], record.outlines.get(outline.id)?.conflict], [2, own.id, true]);
});

test('an examination comes after every look that is known', async () => {
  const object = examinationId(SURVEY, 1, 'C17', 'normal');
  const { log, record } = await open({ boot: { heads: { [object]: [idOf(0xa1), idOf(0xa2)] }, examinations: [{ id: object, entry: idOf(0xa2), cell: 'C17', mode: 'normal', state: 'seen', done: false, conflict: true }] } });

  await record.examine({ cell: 'C17', mode: 'normal', body: { state: 'touch', searched: ['dust'], done: true } });

  const [entry] = await log.entries();
  const shown = record.examinations.get('C17:normal');
  assert.deepEqual([entry.object_id, entry.parents], [object, [idOf(0xa1), idOf(0xa2)]]);
  assert.deepEqual([shown.state, shown.done, shown.conflict, shown.entry], ['touch', true, false, entry.id]);
});

test('two quick taps come one after the other, each knowing the one before', async () => {
  const { log, record } = await open();

  await Promise.all([record.seenNoChange(/** @type {any} */ (PRIOR)), record.seenNoChange(/** @type {any} */ (PRIOR))]);
  const [first, second] = await log.entries();
  assert.deepEqual(second.parents, [first.id]);

  await Promise.all([record.undoAct(), record.undoAct()]);
  assert.deepEqual([record.actCount, record.outlines.size], [0, 0]);
});

test('what is put down while everything is read anew is not lost from view', async () => {
  const { record, log } = await open();
  const { entries } = log;
  log.entries = async () => {
    const rows = await entries.call(log);
    log.entries = entries;
    await record.putDown({ geometry: square(1), stated: STATED });
    return rows;
  };

  await record.load();

  assert.equal(record.outlines.size, 1);
});

test('sessions and stops change entry by entry, and are there after a restart', async () => {
  const tablet = await open();
  const opened = await tablet.record.say('session', { state: 'open', label: 'W1' }, { objectId: idOf(0x51) });
  await tablet.record.say('stop', { state: 'open', noticed_at: '2026-11-25T08:00:00Z' }, { objectId: idOf(0x52), parents: [] });
  const closed = await tablet.record.say('session', { state: 'closed', label: 'W1' }, { objectId: idOf(0x51) });

  const { record } = await reopened(tablet);

  assert.deepEqual(closed.parents, [opened.id]);
  assert.deepEqual(record.sessions.get(idOf(0x51)), { state: 'closed', label: 'W1', id: idOf(0x51), entry: closed.id, kind: 'session', conflict: false });
  assert.equal(record.stops.get(idOf(0x52)).state, 'open');
});

test('sessions and stops of the pack are known', async () => {
  const lines = { sessions: [{ id: idOf(0x61), entry: idOf(0x62), state: 'open', label: 'W1' }], stops: [{ id: idOf(0x63), entry: idOf(0x64), state: 'open' }], heads: { [idOf(0x61)]: [idOf(0x62)], [idOf(0x63)]: [idOf(0x64)] } };

  const { record } = await open({ boot: lines });

  assert.deepEqual([record.sessions.get(idOf(0x61)).label, record.stops.get(idOf(0x63)).entry, record.headsOf(idOf(0x63))], ['W1', idOf(0x64), [idOf(0x64)]]);
});

test('what another page of the tablet put down is read anew', async () => {
  const { log, record, name, platform } = await open();
  const other = await reopened({ name, platform: { ...platform, ids: 500 } });
  const outline = await other.record.putDown({ geometry: square(1), stated: STATED });
  assert.equal(record.outlines.size, 0);

  await log.refresh({ told: true });
  await record.load();

  assert.ok(record.outlines.has(outline.id));
});

test('the draft goes when its outline is put down', async () => {
  const { disk, record } = await open();
  await disk.run(['drafts'], 'readwrite', (tx) => tx.put('drafts', { id: 'd' }));

  await record.putDown({ geometry: square(1), stated: STATED, clearingDraft: 'd' });

  assert.equal(await disk.run(['drafts'], 'readonly', (tx) => tx.count('drafts')), 0);
});
