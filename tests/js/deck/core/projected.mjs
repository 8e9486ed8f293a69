/**
 * What does the tablet make of a pack and entries? Reads cases as JSON and writes what stands; compared with the server
 * by test_view_agrees.py.
 */
import { project } from '../../../../static/js/deck/core/view.js';

let text = '';
for await (const chunk of process.stdin) text += chunk;
const results = JSON.parse(text).map(({ pack, entries, epoch }) => {
  const { outlines, examinations, sessions, heads, withdrawn } = project({ pack, entries, cellsOf: () => [], epoch });
  return {
    outlines: [...outlines.values()], examinations: [...examinations.values()], sessions: [...sessions.values()],
    heads: Object.fromEntries(heads), withdrawn: Object.fromEntries(withdrawn),
  };
});
process.stdout.write(JSON.stringify(results));
