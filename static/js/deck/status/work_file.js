/**
 * How does a person take the work off this tablet without the network? As a file that the desk page takes in.
 */

/** @param {string} tablet @param {number} now_ms */
export function workFileName(tablet, now_ms) {
  const name = tablet.toLowerCase().replaceAll(/[^a-z0-9]+/g, '-').replaceAll(/^-|-$/g, '') || 'tablet';
  return `pontata-work-${name}-${new Date(now_ms).toISOString().slice(0, 16).replaceAll(':', '')}.json`;
}

/** Hand a file to the browser. @param {string} text @param {string} name */
export function offerFile(text, name) {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(new Blob([text], { type: 'application/json' }));
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}
