/**
 * Which identity does an entry or an object get? Version 7 (ordered by time) and version 5 (by name), RFC 9562.
 */

/**
 * A version 7 identifier: 48 bits of Unix milliseconds, then random bits.
 * @param {number} [now_ms] milliseconds since 1970
 * @param {Uint8Array} [random] ten random bytes
 * @returns {string} canonical lower-case text
 */
export function uuid7(now_ms = Date.now(), random = crypto.getRandomValues(new Uint8Array(10))) {
  const bytes = new Uint8Array(16);
  let rest = now_ms;
  for (let index = 5; index >= 0; index -= 1) {
    bytes[index] = rest % 256;
    rest = Math.floor(rest / 256);
  }
  bytes.set(random.subarray(0, 10), 6);
  return withVersion(bytes, 7);
}

/**
 * A version 5 identifier: the name in a namespace, by SHA-1.
 * @param {string} namespace a UUID
 * @param {string} name
 * @returns {string} canonical lower-case text
 */
export function uuid5(namespace, name) {
  const prefix = parse(namespace);
  const text = new TextEncoder().encode(name);
  const message = new Uint8Array(prefix.length + text.length);
  message.set(prefix);
  message.set(text, prefix.length);
  return withVersion(sha1(message).slice(0, 16), 5);
}

/** @param {string} text @returns {Uint8Array} */
function parse(text) {
  const hex = text.replaceAll('-', '');
  if (!/^[0-9a-f]{32}$/i.test(hex)) throw new RangeError(`"${text}" is not a UUID.`);
  return Uint8Array.from({ length: 16 }, (_, index) => parseInt(hex.slice(2 * index, 2 * index + 2), 16));
}

/** @param {Uint8Array} bytes @param {number} version */
function withVersion(bytes, version) {
  bytes[6] = (bytes[6] & 0x0f) | (version << 4);
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, '0')).join('');
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join('-');
}

/**
 * SHA-1 of bytes (FIPS 180-4). Our own because the browser's is absent on pages served without TLS on a local network.
 * @param {Uint8Array} message
 * @returns {Uint8Array}
 */
export function sha1(message) {
  const blocks = new Uint8Array(Math.ceil((message.length + 9) / 64) * 64);
  blocks.set(message);
  blocks[message.length] = 0x80;
  const view = new DataView(blocks.buffer);
  view.setUint32(blocks.length - 8, Math.floor(message.length / 0x20000000));
  view.setUint32(blocks.length - 4, (message.length << 3) >>> 0);
  const state = new Uint32Array([0x67452301, 0xefcdab89, 0x98badcfe, 0x10325476, 0xc3d2e1f0]);
  for (let offset = 0; offset < blocks.length; offset += 64) mixBlock(state, view, offset);
  const digest = new DataView(new ArrayBuffer(20));
  state.forEach((word, index) => digest.setUint32(4 * index, word));
  return new Uint8Array(digest.buffer);
}

/** @param {Uint32Array} state @param {DataView} view @param {number} offset */
function mixBlock(state, view, offset) {
  const words = new Uint32Array(80);
  for (let t = 0; t < 16; t += 1) words[t] = view.getUint32(offset + 4 * t);
  for (let t = 16; t < 80; t += 1) words[t] = turn(words[t - 3] ^ words[t - 8] ^ words[t - 14] ^ words[t - 16], 1);
  let [a, b, c, d, e] = state;
  for (let t = 0; t < 80; t += 1) {
    const [f, k] = t < 20 ? [(b & c) | (~b & d), 0x5a827999]
      : t < 40 ? [b ^ c ^ d, 0x6ed9eba1]
        : t < 60 ? [(b & c) | (b & d) | (c & d), 0x8f1bbcdc] : [b ^ c ^ d, 0xca62c1d6];
    const next = (turn(a, 5) + f + e + k + words[t]) >>> 0;
    [e, d, c, b, a] = [d, c, turn(b, 30), a, next];
  }
  [a, b, c, d, e].forEach((word, index) => { state[index] = (state[index] + word) >>> 0; });
}

/** @param {number} word @param {number} by */
function turn(word, by) {
  return ((word << by) | (word >>> (32 - by))) >>> 0;
}
