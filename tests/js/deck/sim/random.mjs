/**
 * Which numbers does a sequence draw? A small generator that gives the same numbers for the same seed on every machine.
 */

/** Marsaglia's xorshift with 32 bits of state, stirred first so that neighbouring seeds part at once. */
export class Chance {
  /** @param {number} seed */
  constructor(seed) {
    this.state = stirred(seed) || 1;
  }

  /** A whole number from 0 to 2^32 - 1. */
  bits() {
    let x = this.state;
    x ^= x << 13;
    x ^= x >>> 17;
    x ^= x << 5;
    this.state = x >>> 0;
    return this.state;
  }

  /** At least 0, less than 1. */
  part() {
    return this.bits() / 4294967296;
  }

  /** A whole number from 0 to below. @param {number} below */
  under(below) {
    return Math.floor(this.part() * below);
  }

  /** @param {number} share 0 never, 1 always */
  happens(share) {
    return this.part() < share;
  }

  /** @template T @param {T[]} things @returns {T} */
  pick(things) {
    return things[this.under(things.length)];
  }

  /** A generator of its own, so that what one part draws does not move what another part draws. */
  fork() {
    return new Chance(this.bits());
  }
}

/** @param {number} seed */
function stirred(seed) {
  let x = (seed + 0x9e3779b9) >>> 0;
  x = Math.imul(x ^ (x >>> 16), 0x85ebca6b);
  x = Math.imul(x ^ (x >>> 13), 0xc2b2ae35);
  return (x ^ (x >>> 16)) >>> 0;
}
