/**
 * What stands, after everything that was said? Heads, conflicts and what to show of each object, from the pack and the
 * entries on the tablet. Pure; it agrees with survey/ledger/selectors.py and survey/record/projection.py.
 */
import { expectedOutline } from '../../wall/statements.js';
import { canonicalText } from './canonical.js';

/** @typedef {import('../../wall/statements.js').Outline} Outline */
/** @typedef {import('../../wall/geometry.js').Geometry} Geometry */
/** @typedef {import('./rows.js').EntryRow} EntryRow */
/** @typedef {Pick<EntryRow, 'id' | 'object_id' | 'kind' | 'body' | 'parents' | 'observed_by' | 'recorded_by' | 'made_at'> & {seq?: number | null, device_seq?: number | null}} Said */
/** @typedef {Record<string, any> & {id: string, entry: string, kind: string, conflict: boolean}} Thing the body of an object's head, with the object's id */
/**
 * What the pack knows of one object.
 * @typedef {{heads: string[], outline: Outline | null, examination: any, thing: Thing | null, withdrawn: boolean}} Packed
 *
 * What stands of one object.
 * @typedef {object} Standing
 * @property {string[]} heads ids of the entries that no other one names as its parent
 * @property {boolean} conflict the heads do not say the same
 * @property {Outline | null} outline
 * @property {any} examination
 * @property {Thing | null} thing of any other kind
 * @property {string | null} withdrawn the head, when the object was withdrawn
 */

/** What the pack shows and no body says (ids, what the server works out), and what a body says and the pack does not show. */
const NOT_COMPARED = new Set(['id', 'entry', 'kind', 'standing', 'conflict', 'cells', 'observed_by', 'area_sq_in', 'perimeter_in', 'length_in', 'pending', 'layout', 'vocabulary', 'session']);

/**
 * The entries that no other one names as its parent, in the given order.
 * @template {{id: string, parents: string[]}} T
 * @param {Iterable<T>} entries
 * @returns {T[]}
 */
export function headsOf(entries) {
  const all = [...entries];
  const replaced = new Set(all.flatMap(({ parents }) => parents));
  return all.filter(({ id }) => !replaced.has(id));
}

/** As the server keeps them: by its place, then what it has not seen yet by the tablet's own number. @template {Said} T @param {Iterable<T>} entries @returns {T[]} */
export function inOrder(entries) {
  const place = (/** @type {Said} */ { seq }) => seq ?? Infinity;
  return [...entries].sort((one, other) => (place(one) === place(other) ? (one.device_seq ?? 0) - (other.device_seq ?? 0) : place(one) - place(other)));
}

/**
 * What the pack says, object by object.
 * @param {any} pack
 * @returns {Map<string, Packed>}
 */
export function packedObjects(pack) {
  /** @type {Map<string, Packed>} */
  const objects = new Map();
  const boot = pack?.boot ?? {};
  const at = (/** @type {string} */ id) => {
    const known = objects.get(id) ?? { heads: [], outline: null, examination: null, thing: null, withdrawn: false };
    objects.set(id, known);
    return known;
  };
  for (const [id, heads] of Object.entries(boot.heads ?? {})) at(id).heads = heads;
  for (const outline of boot.outlines ?? []) at(outline.id).outline = outline;
  for (const examination of boot.examinations ?? []) at(examination.id).examination = examination;
  for (const [kind, lines] of Object.entries({ session: boot.sessions, stop: boot.stops })) for (const line of lines ?? []) addLine(at(line.id), kind, line);
  for (const [id, head] of Object.entries(boot.withdrawn ?? {})) Object.assign(at(id), { withdrawn: true, heads: at(id).heads.length ? at(id).heads : [head] });
  for (const packed of objects.values()) {
    const shown = shownOf(packed);
    if (!packed.heads.length && shown?.entry) packed.heads = [shown.entry];
  }
  return objects;
}

/**
 * What stands of one object.
 * @param {object} options
 * @param {string} options.objectId
 * @param {Packed} [options.packed]
 * @param {Said[]} options.entries all entries about it on the tablet
 * @param {(geometry: Geometry) => string[]} options.cellsOf
 * @param {(entry: Said) => boolean} [options.isPacked] whether the pack has already counted an entry in
 * @returns {Standing}
 */
export function standingOf({ objectId, packed, entries, cellsOf, isPacked = () => false }) {
  const said = inOrder(entries);
  const byId = new Map(said.map((entry) => [entry.id, entry]));
  const replaced = new Set(said.flatMap(({ parents }) => parents));
  const packedHeads = (packed?.heads ?? []).filter((id) => !replaced.has(id) && !byId.has(id));
  const known = new Set(packed?.heads ?? []);
  const heads = said.filter((entry) => !replaced.has(entry.id) && (known.has(entry.id) || !isPacked(entry)));
  const ids = [...packedHeads, ...heads.map(({ id }) => id)];
  const conflict = differ(packed, packedHeads, heads);
  const last = heads[heads.length - 1];
  /** @type {Standing} */
  const standing = { heads: ids, conflict, outline: null, examination: null, thing: null, withdrawn: null };
  const kind = last?.kind ?? (packed?.examination ? 'examination' : packed?.thing?.kind ?? 'observation');
  if (kind === 'examination') standing.examination = examinationOf({ objectId, packed: packedHeads.length ? packed : undefined, heads, conflict });
  else if (kind === 'observation' || kind === 'withdrawal') Object.assign(standing, outlineOf({ packed, packedHeads, said, heads, conflict, cellsOf }));
  else standing.thing = last ? thingOf(last, conflict) : packed?.thing ? { ...packed.thing, conflict } : null;
  return standing;
}

/**
 * Everything that stands.
 * @param {object} options
 * @param {any} options.pack null when there is none
 * @param {Said[]} options.entries
 * @param {(geometry: Geometry) => string[]} options.cellsOf
 * @param {string | null} [options.epoch] of the entries' places
 */
export function project({ pack, entries, cellsOf, epoch = pack?.epoch ?? null }) {
  const packed = packedObjects(pack);
  const groups = byObject(entries);
  const maps = emptyMaps();
  for (const objectId of new Set([...packed.keys(), ...groups.keys()])) {
    place(maps, objectId, standingOf({ objectId, packed: packed.get(objectId), entries: groups.get(objectId) ?? [], cellsOf, isPacked: isPackedIn(pack, epoch) }));
  }
  return maps;
}

export function emptyMaps() {
  return {
    /** @type {Map<string, Outline>} */ outlines: new Map(),
    /** @type {Map<string, any>} by cell and mode */ examinations: new Map(),
    /** @type {Map<string, any>} Things */ sessions: new Map(),
    /** @type {Map<string, any>} Things */ stops: new Map(),
    /** @type {Map<string, Thing>} every other kind too */ things: new Map(),
    /** @type {Map<string, string[]>} */ heads: new Map(),
    /** @type {Map<string, string>} object -> head */ withdrawn: new Map(),
  };
}

/** @typedef {ReturnType<typeof emptyMaps>} Maps */

/** Put what stands of an object where it belongs, and take away what stood before. @param {Maps} maps @param {string} objectId @param {Standing} standing */
export function place(maps, objectId, { heads, outline, examination, thing, withdrawn }) {
  if (heads.length) maps.heads.set(objectId, heads);
  setOrDelete(maps.outlines, objectId, outline);
  setOrDelete(maps.withdrawn, objectId, withdrawn);
  if (examination) maps.examinations.set(`${examination.cell}:${examination.mode}`, examination);
  setOrDelete(maps.things, objectId, thing);
  setOrDelete(maps.sessions, objectId, thing?.kind === 'session' ? thing : null);
  setOrDelete(maps.stops, objectId, thing?.kind === 'stop' ? thing : null);
}

/** An entry of the pack's own epoch up to its head is counted in already. @param {any} pack @param {string | null} epoch of the entries' places @returns {(entry: Said) => boolean} */
export function isPackedIn(pack, epoch) {
  const head = pack && pack.epoch === epoch ? pack.head ?? 0 : 0;
  return ({ seq }) => typeof seq === 'number' && seq <= head;
}

/** @template {{object_id: string}} T @param {Iterable<T>} entries @returns {Map<string, T[]>} */
export function byObject(entries) {
  /** @type {Map<string, T[]>} */
  const groups = new Map();
  for (const entry of entries) {
    const group = groups.get(entry.object_id);
    if (group) group.push(entry);
    else groups.set(entry.object_id, [entry]);
  }
  return groups;
}

/** @template T @param {Map<string, T>} map @param {string} key @param {T | null} value */
function setOrDelete(map, key, value) {
  if (value === null) map.delete(key);
  else map.set(key, value);
}

/**
 * Whether heads say different things; kind and body are compared, not who said them.
 * @param {Packed | undefined} packed @param {string[]} packedHeads @param {Said[]} heads
 */
function differ(packed, packedHeads, heads) {
  const texts = new Set(heads.map(({ kind, body }) => `${kind} ${canonicalText(body)}`));
  if (texts.size > 1) return true;
  if (!packed || !packedHeads.length) return false;
  if (!heads.length) return packedHeads.length > 1 && Boolean(shownOf(packed)?.conflict);
  // Of heads that differ the pack does not tell what each says: a conflict until the entries themselves are here.
  return Boolean(shownOf(packed)?.conflict) || !saysTheSame(packed, heads[0]);
}

/** The pack gives outlines as they are shown, not as they were said: compared key by key, nothing being the same as left out. @param {Packed} packed @param {Said} head */
function saysTheSame(packed, head) {
  if (packed.withdrawn || head.kind === 'withdrawal') return packed.withdrawn && head.kind === 'withdrawal';
  const shown = shownOf(packed);
  if (!shown) return false;
  const keys = new Set([...Object.keys(shown), ...Object.keys(head.body)].filter((key) => !NOT_COMPARED.has(key)));
  return [...keys].every((key) => textOf(shown[key]) === textOf(head.body[key]));
}

/** @param {any} value */
function textOf(value) {
  const isEmpty = value === null || value === undefined || value === '' || value === false || (typeof value === 'object' && Object.keys(value).length === 0);
  return isEmpty ? '' : canonicalText(value);
}

/** @param {Packed} packed @returns {any} */
function shownOf({ outline, examination, thing }) {
  return outline ?? examination ?? thing;
}

/** One line for each head: a second one that says something else makes a conflict. @param {Packed} packed @param {string} kind @param {any} line */
function addLine(packed, kind, line) {
  const { thing } = packed;
  const said = (/** @type {any} */ of) => canonicalText({ ...of, entry: undefined, kind: undefined, conflict: undefined });
  const conflict = thing !== null && (thing.conflict || said(thing) !== said(line));
  packed.thing = { ...line, kind, conflict };
}

/**
 * @param {object} options
 * @param {Packed | undefined} options.packed
 * @param {string[]} options.packedHeads
 * @param {Said[]} options.said
 * @param {Said[]} options.heads
 * @param {boolean} options.conflict
 * @param {(geometry: Geometry) => string[]} options.cellsOf
 * @returns {{outline: Outline | null, withdrawn: string | null}}
 */
function outlineOf({ packed, packedHeads, said, heads, conflict, cellsOf }) {
  const last = heads[heads.length - 1];
  const head = last?.id ?? packedHeads[packedHeads.length - 1] ?? packed?.heads[packed.heads.length - 1] ?? '';
  const isWithdrawn = heads.some(({ kind }) => kind === 'withdrawal') || (packedHeads.length > 0 && Boolean(packed?.withdrawn));
  if (isWithdrawn && !conflict) return { outline: null, withdrawn: head };
  // As the server shows it: the last head when it is an observation, else what was last observed.
  const shown = last?.kind === 'observation' ? last : packed?.outline && packedHeads.length ? null : said.filter(({ kind }) => kind === 'observation').pop();
  if (shown) return { outline: { ...expectedOutline(shown, cellsOf), entry: head, conflict, pending: isPending(last ?? shown) }, withdrawn: null };
  return { outline: packed?.outline ? { ...packed.outline, entry: head, conflict, pending: false } : null, withdrawn: null };
}

/** @param {{objectId: string, packed: Packed | undefined, heads: Said[], conflict: boolean}} options */
function examinationOf({ objectId, packed, heads, conflict }) {
  const last = heads[heads.length - 1];
  if (!last) return packed?.examination ? { ...packed.examination, conflict } : null;
  const bodies = [...(packed?.examination ? [packed.examination] : []), ...heads.map(({ body }) => body)];
  const { body } = last;
  return {
    cell: body.cell, mode: body.mode, state: body.state, seen: body.seen ?? null, touch: body.touch ?? null, hidden: body.hidden ?? [], cause: body.cause ?? '', note: body.note ?? '',
    id: objectId, entry: last.id, observed_by: last.observed_by, conflict, pending: isPending(last),
    // Where two heads differ, the less seen holds until a person decides.
    done: bodies.every(({ done }) => done === true), searched: searchedByAll(bodies),
  };
}

/** The terms that every head looked for; null when each looked for every term. @param {any[]} bodies @returns {string[] | null} */
function searchedByAll(bodies) {
  const named = bodies.map(({ searched }) => searched).filter((searched) => searched !== undefined && searched !== null);
  if (!named.length) return null;
  return named[0].filter((/** @type {string} */ code) => named.every((searched) => searched.includes(code)));
}

/** @param {Said} entry @param {boolean} conflict @returns {Thing} */
function thingOf({ id, object_id, kind, body }, conflict) {
  return { ...body, id: object_id, entry: id, kind, conflict };
}

/** @param {Said} entry */
function isPending({ seq }) {
  return seq === null || seq === undefined;
}
