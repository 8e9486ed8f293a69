/**
 * Which text stands for a statement, so that every machine takes the same digest of it? RFC 8785 (JSON canonicalization),
 * and the nine keys of a statement. The twin of survey/ledger/canonical.py and drafts.py; it takes no digest itself.
 */

/**
 * What is digested.
 * @typedef {object} Statement
 * @property {Record<string, any>} body
 * @property {string} id UUIDv7
 * @property {string} kind
 * @property {number} kind_version
 * @property {string} made_at
 * @property {string} object_id
 * @property {string} observed_by
 * @property {string[]} parents
 * @property {string} recorded_by
 *
 * @typedef {import('../../shared/port.js').EntryDraft} EntryDraft
 */

/** A statement that has no canonical form, or lacks a key. */
export class InvalidStatement extends Error {
  /** @param {string} message */
  constructor(message) {
    super(message);
    this.name = 'InvalidStatement';
  }
}

const STATEMENT_KEYS = /** @type {const} */ (['body', 'id', 'kind', 'kind_version', 'made_at', 'object_id', 'observed_by', 'parents', 'recorded_by']);
const UUID = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/;
const MOMENT = /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{6})?Z$/;
const LONGEST_NAME = 150;
const MOST_PARENTS = 32;
/** A high surrogate without its low one, or a low one without its high one. */
const LONE_SURROGATE = /[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/;
// eslint-disable-next-line no-control-regex
const OUTER_BLANKS = /^[\s\x1c-\x1f\x85]+|[\s\x1c-\x1f\x85]+$/g;

/**
 * A number as RFC 8785, section 3.2.2.3, writes it: as ECMAScript does.
 * @param {number} value
 * @returns {string}
 */
export function canonicalNumber(value) {
  if (!Number.isFinite(value)) throw new InvalidStatement(`${value} has no canonical form; a number must be finite.`);
  return String(value === 0 ? 0 : value);
}

/**
 * The canonical text of a JSON value: keys in the order of their UTF-16 units, no blanks. Keys whose value is undefined
 * are left out, as JSON leaves them out. Whole numbers beyond 2^53 are refused: other readers round them differently.
 * @param {any} value
 * @returns {string}
 */
export function canonicalText(value) {
  if (value === null || value === true || value === false) return String(value);
  if (typeof value === 'number') return exactNumber(value);
  if (typeof value === 'string') return canonicalString(value);
  if (Array.isArray(value)) return `[${value.map(canonicalText).join(',')}]`;
  if (typeof value === 'object') {
    const keys = Object.keys(value).filter((key) => value[key] !== undefined).sort();
    return `{${keys.map((key) => `${canonicalString(key)}:${canonicalText(value[key])}`).join(',')}}`;
  }
  throw new InvalidStatement(`A ${typeof value} has no canonical form.`);
}

/** @param {number} value */
function exactNumber(value) {
  const text = canonicalNumber(value);
  if (!Number.isSafeInteger(value) && /^-?\d+$/.test(text)) throw new InvalidStatement(`${text} is beyond 2^53; write it as text.`);
  return text;
}

/** @param {string} text */
function canonicalString(text) {
  if (LONE_SURROGATE.test(text)) throw new InvalidStatement('A text holds half of a character (a lone surrogate); take it out.');
  if (text.includes('\0')) throw new InvalidStatement('A text holds the character NUL; take it out.');
  return JSON.stringify(text);
}

/**
 * The statement of a draft, exactly as it is digested, stored and sent.
 * @param {EntryDraft & {id: string, made_at: string}} draft
 * @returns {Statement}
 */
export function statementOf(draft) {
  const statement = {
    body: draft.body,
    id: identity(draft.id, 'id'),
    kind: draft.kind,
    kind_version: draft.kind_version ?? 1,
    made_at: momentOf(draft.made_at),
    object_id: identity(draft.object_id, 'object_id'),
    observed_by: nameOf(draft.observed_by, 'observed_by'),
    parents: parentsOf(draft.parents ?? []),
    recorded_by: nameOf(draft.recorded_by || draft.observed_by, 'recorded_by'),
  };
  if (!statement.body || typeof statement.body !== 'object') throw new InvalidStatement('The body of a statement must be an object.');
  if (!statement.kind || typeof statement.kind !== 'string') throw new InvalidStatement('A statement must name its kind.');
  return /** @type {Statement} */ (statement);
}

/** The statement in a row or an answer that holds more beside it. @param {Record<string, any>} row @returns {Statement} */
export function statementIn(row) {
  return /** @type {Statement} */ (Object.fromEntries(STATEMENT_KEYS.map((key) => [key, row[key]])));
}

/**
 * A moment as the server writes it: UTC, without a fraction when the second is whole, else with six digits.
 * @param {number} ms since 1970
 */
export function madeAt(ms) {
  const text = new Date(ms).toISOString();
  return text.endsWith('.000Z') ? text.replace('.000Z', 'Z') : text.replace('Z', '000Z');
}

/** @param {string} value */
function momentOf(value) {
  if (MOMENT.test(value) && !value.endsWith('.000000Z')) return value;
  const ms = Date.parse(value);
  if (Number.isNaN(ms)) throw new InvalidStatement(`made_at is ${value}; it must be a date and time such as 2026-11-18T09:00:00Z.`);
  return madeAt(ms);
}

/** @param {string} value @param {string} key */
function identity(value, key) {
  const text = String(value).toLowerCase();
  if (!UUID.test(text)) throw new InvalidStatement(`${key} is ${value}; it must be a UUID.`);
  return text;
}

/** @param {string[]} parents */
function parentsOf(parents) {
  const ids = [...new Set(parents.map((parent) => identity(parent, 'parents')))].sort();
  if (ids.length > MOST_PARENTS) throw new InvalidStatement(`parents has ${ids.length} entries; the most is ${MOST_PARENTS}.`);
  return ids;
}

/** @param {string | undefined} value @param {string} key */
function nameOf(value, key) {
  const text = String(value ?? '').replace(OUTER_BLANKS, '');
  const length = [...text].length;
  if (!length || length > LONGEST_NAME) throw new InvalidStatement(`${key} is "${text.slice(0, 40)}"; it must be text of 1 to ${LONGEST_NAME} characters. Name who observes and who records.`);
  return text;
}
