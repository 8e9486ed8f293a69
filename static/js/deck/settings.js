/**
 * How does this person hold this tablet? Choices that stay on the tablet and are no part of the record.
 */

/** @typedef {import('./core/disk.js').Disk} Disk */

/** @type {Record<string, any>} */
const AT_FIRST = { hand: 'right', observer: '', recorder: '', persistence: null, name: '' };
const KEY = 'settings';

export class DeckSettings {
  /** @param {Disk} disk @param {Record<string, any>} kept */
  constructor(disk, kept) {
    this.disk = disk;
    this.values = { ...AT_FIRST, ...kept };
  }

  /** @param {Disk} disk */
  static async read(disk) {
    const row = await disk.run(['meta'], 'readonly', (tx) => tx.get('meta', KEY));
    return new DeckSettings(disk, row?.value ?? {});
  }

  /** @param {string} name @returns {any} */
  get(name) {
    return this.values[name];
  }

  /** Keep a choice; resolves when it is on the disk. @param {string} name @param {any} value */
  async set(name, value) {
    this.values = { ...this.values, [name]: value };
    const { values } = this;
    await this.disk.run(['meta'], 'readwrite', (tx) => tx.put('meta', { key: KEY, value: values }));
  }
}
