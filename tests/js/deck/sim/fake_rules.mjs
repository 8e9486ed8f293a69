/**
 * Which statements does the fake server set aside for what they say? Only the rules that a tablet can run into and
 * that need no wall: kind, parents, family of the object. The real rules have tests of their own.
 */

const FAMILIES = new Map([
  ['observation', 'outline'],
  ['withdrawal', 'outline'],
  ['examination', 'examination'],
  ['photograph', 'photograph'],
  ['session', 'session'],
  ['daily-check', 'daily-check'],
  ['spot-reading', 'spot-reading'],
  ['fragment', 'fragment'],
  ['stop', 'stop'],
]);
const UUID = /^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$/;

/**
 * What is wrong with a statement, or the empty text.
 * @param {any} statement
 * @param {{rowOf: (id: string) => any, rowsOf: (object: string) => any[]}} log
 */
export function statementFault(statement, { rowOf, rowsOf }) {
  if (!UUID.test(statement.id)) return 'id must be a UUID.';
  if (!UUID.test(statement.object_id)) return 'object_id must be a UUID.';
  const family = FAMILIES.get(statement.kind);
  if (!family) return `There is no kind ${statement.kind}.`;
  if (statement.kind === 'observation' && !statement.body?.term) return 'term is missing.';
  if (statement.kind === 'withdrawal' && !statement.parents?.length) return 'parents is empty.';
  for (const row of rowsOf(statement.object_id)) {
    if (FAMILIES.get(row.statement.kind) !== family) return `Object ${statement.object_id} stands for another thing.`;
  }
  for (const parent of statement.parents ?? []) {
    if (rowOf(parent)?.statement.object_id !== statement.object_id) return `Entry ${parent}, which this one replaces, is not an entry of the object.`;
  }
  return '';
}
