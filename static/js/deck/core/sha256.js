/**
 * What is the SHA-256 of bytes where the browser does not compute it (FIPS 180-4)? On pages served without TLS the
 * browser's own is absent.
 */

const FIRST_PRIMES = firstPrimes(64);
const ROUND_WORDS = Uint32Array.from(FIRST_PRIMES, (prime) => fractionBits(Math.cbrt(prime)));
const START_WORDS = Uint32Array.from(FIRST_PRIMES.slice(0, 8), (prime) => fractionBits(Math.sqrt(prime)));

/** @param {Uint8Array} message @returns {string} 64 hexadecimal digits */
export function sha256Hex(message) {
  const blocks = new Uint8Array(Math.ceil((message.length + 9) / 64) * 64);
  blocks.set(message);
  blocks[message.length] = 0x80;
  const view = new DataView(blocks.buffer);
  view.setUint32(blocks.length - 8, Math.floor(message.length / 0x20000000));
  view.setUint32(blocks.length - 4, (message.length << 3) >>> 0);
  const state = Uint32Array.from(START_WORDS);
  const words = new Uint32Array(64);
  for (let offset = 0; offset < blocks.length; offset += 64) mixBlock(state, words, view, offset);
  return [...state].map((word) => word.toString(16).padStart(8, '0')).join('');
}

/** @param {Uint32Array} state @param {Uint32Array} words @param {DataView} view @param {number} offset */
function mixBlock(state, words, view, offset) {
  for (let t = 0; t < 16; t += 1) words[t] = view.getUint32(offset + 4 * t);
  for (let t = 16; t < 64; t += 1) {
    const [w15, w2] = [words[t - 15], words[t - 2]];
    words[t] = words[t - 16] + words[t - 7] + (turn(w15, 7) ^ turn(w15, 18) ^ (w15 >>> 3)) + (turn(w2, 17) ^ turn(w2, 19) ^ (w2 >>> 10));
  }
  let [a, b, c, d, e, f, g, h] = state;
  for (let t = 0; t < 64; t += 1) {
    const first = (h + (turn(e, 6) ^ turn(e, 11) ^ turn(e, 25)) + ((e & f) ^ (~e & g)) + ROUND_WORDS[t] + words[t]) | 0;
    const second = ((turn(a, 2) ^ turn(a, 13) ^ turn(a, 22)) + ((a & b) ^ (a & c) ^ (b & c))) | 0;
    [h, g, f, e, d, c, b, a] = [g, f, e, (d + first) | 0, c, b, a, (first + second) | 0];
  }
  [a, b, c, d, e, f, g, h].forEach((word, index) => { state[index] += word; });
}

/** @param {number} word @param {number} by */
function turn(word, by) {
  return (word >>> by) | (word << (32 - by));
}

/** The first 32 bits of a number's fraction. @param {number} value */
function fractionBits(value) {
  return Math.floor((value - Math.floor(value)) * 2 ** 32);
}

/** @param {number} count */
function firstPrimes(count) {
  /** @type {number[]} */
  const primes = [];
  for (let number = 2; primes.length < count; number += 1) if (primes.every((prime) => number % prime)) primes.push(number);
  return primes;
}
