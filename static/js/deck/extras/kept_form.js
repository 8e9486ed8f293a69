/**
 * What was put on a card that is not stated yet? Kept on the tablet's disk with every change, so that it can be left and found again.
 */

const PREFIX = 'card:';

/** @template T */
export class KeptForm {
  /**
   * @param {object} options
   * @param {import('../core/disk.js').Disk} options.disk
   * @param {string} options.name
   */
  constructor({ disk, name }) {
    this.disk = disk;
    this.key = PREFIX + name;
    /** @type {Promise<any>} */
    this.line = Promise.resolve();
  }

  /** @returns {Promise<T | null>} */
  async read() {
    const row = await this.disk.run(['round'], 'readonly', (tx) => tx.get('round', this.key));
    return row?.value ?? null;
  }

  /** Resolves when it is on the disk; changes are written in the order in which they were made. @param {T} value */
  write(value) {
    return this.inLine(() => this.disk.run(['round'], 'readwrite', (tx) => tx.put('round', { key: this.key, value })));
  }

  clear() {
    return this.inLine(() => this.disk.run(['round'], 'readwrite', (tx) => tx.delete('round', this.key)));
  }

  /** @private @param {() => Promise<any>} work */
  inLine(work) {
    this.line = this.line.catch(() => {}).then(work);
    return this.line;
  }
}
