/**
 * What did the tablets say that they keep? Every report of a page is written down when it is made and held against the
 * disk at once; the end of a sequence holds it against the server.
 */

/** @typedef {import('./page.mjs').Page} Page */
/** @typedef {import('./page.mjs').Tablet} Tablet */

export class Promised {
  /** @param {(fault: string) => void} broken */
  constructor(broken) {
    this.broken = broken;
    /** @type {Map<string, {tablet: Tablet, digest: string, device_seq: number, at_ms: number}>} entry id -> what was said */
    this.entries = new Map();
    /** @type {Map<string, {tablet: Tablet, bytes: Uint8Array}>} */
    this.photographs = new Map();
    /** @type {Map<string, {tablet: Tablet, vertices: number[], entry: string | null}>} outlines under the pen */
    this.drafts = new Map();
    /** @type {Map<string, string>} own entries ever committed to a disk, and their digests */
    this.written = new Map();
    /** @type {Map<string, Tablet>} which tablet's own each of them is */
    this.writers = new Map();
    /** @type {Map<string, string>} tablet and number -> entry that waits or waited */
    this.numbers = new Map();
    this.refusals = 0;
    this.forgotten = 0;
  }

  /** An own entry was committed to a disk. @param {Tablet} tablet @param {{id: string, digest: string}} row */
  wrote(tablet, { id, digest }) {
    this.written.set(id, digest);
    this.writers.set(id, tablet);
  }

  /** An append was reported as kept. @param {{page: Page, ids: string[], kept: any}} said */
  kept({ page, ids, kept }) {
    const { tablet } = page;
    if (kept?.length !== ids.length) this.broken(`append reported ${kept?.length} entries of ${ids.length}`);
    for (const { id, digest, device_seq } of kept ?? []) {
      if (!ids.includes(id)) this.broken(`entry ${id} was kept under another id`);
      const row = tablet.disk.read('entries', id);
      if (!row) this.broken(`saved was said of entry ${id} before it was on the disk`);
      this.entries.set(id, { tablet, digest, device_seq, at_ms: page.world.time.now_ms });
    }
  }

  /**
   * An append was refused: nothing of it may stand, unless the disk dropped between a commit and its report, when nobody
   * on the tablet can know; then it stands, is sent, and was told on the safe side.
   * @param {{page: Page, ids: string[], fault: any}} said
   */
  refused({ page, ids, fault }) {
    this.trouble({ page, fault });
    if (page.tablet.disk.drops > 0) return;
    for (const id of ids) {
      if (page.tablet.disk.read('entries', id)) this.broken(`entry ${id} was said not to be kept and stands on the disk`);
    }
  }

  /** Only a failed disk, or the lack of room for a photograph, may be told. @param {{page: Page, fault: any}} said */
  trouble({ page, fault }) {
    this.refusals += 1;
    if (fault?.name === 'PhotographRefused' && !page.tablet.roomForPhotographs) return;
    if (fault?.name !== 'DiskFailed') this.broken(`${page.name} said ${fault?.stack ?? fault}`);
  }

  /** @param {{page: Page, digest: string, bytes: Uint8Array}} said */
  photographKept({ page, digest, bytes }) {
    if (!page.tablet.disk.read('blobs', digest)) this.broken(`photograph ${digest} was said to be kept before it was on the disk`);
    this.photographs.set(digest, { tablet: page.tablet, bytes });
  }

  /** @param {{page: Page, draft: string, n: number}} said */
  vertexKept({ page, draft, n }) {
    const known = this.drafts.get(draft);
    if (known) known.vertices.push(n);
    else this.drafts.set(draft, { tablet: page.tablet, vertices: [n], entry: null });
  }

  /** The outline under the pen on a tablet, when it was not put down yet. @param {Tablet} tablet */
  openDraft(tablet) {
    for (const [id, draft] of this.drafts) if (draft.tablet === tablet && draft.entry === null) return id;
    return undefined;
  }

  /** From now on either all its vertices stand or the entry does. @param {{draft: string, entry: string}} said */
  puttingDown({ draft, entry }) {
    /** @type {any} */ (this.drafts.get(draft)).entry = entry;
  }
}
