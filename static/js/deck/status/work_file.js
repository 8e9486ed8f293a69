/**
 * How does a person take the work off this tablet without the network? As a file that the desk page takes in.
 */

/** @param {string} tablet @param {number} now_ms */
export function workFileName(tablet, now_ms) {
  const name = tablet.toLowerCase().replaceAll(/[^a-z0-9]+/g, '-').replaceAll(/^-|-$/g, '') || 'tablet';
  return `pontata-work-${name}-${new Date(now_ms).toISOString().slice(0, 16).replaceAll(':', '')}.json`;
}

/**
 * The work as one JSON text in pieces: all photographs of a week in one string would be longer than a browser allows.
 * @param {Record<string, any> & {photographs: object[]}} work
 * @returns {string[]}
 */
export function workPieces({ photographs, ...rest }) {
  const head = JSON.stringify(rest).slice(0, -1);
  const pieces = photographs.map((photograph, index) => `${index ? ',' : ''}${JSON.stringify(photograph)}`);
  return [`${head},"photographs":[`, ...pieces, ']}'];
}

/** Hand a file to the browser. @param {string[]} pieces @param {string} name */
export function offerFile(pieces, name) {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(new Blob(pieces, { type: 'application/json' }));
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}

/** Make the file, hand it over, and say where it lies. @param {import('../deck.js').Deck} deck */
export async function downloadWork(deck) {
  const { log, platform, settings } = deck;
  try {
    const work = await log.exportWork();
    offerFile(workPieces(work), workFileName(log.enrolment()?.name ?? settings.get('name'), platform.now_ms()));
    deck.say('The file of your work was handed to the browser. It lies among the tablet\'s downloads; the desk page takes it in.', 'ok');
  } catch (error) {
    deck.say(`The file could not be made: ${error instanceof Error ? error.message : error} Try again; what is on the tablet stays there.`, 'error');
  }
}
