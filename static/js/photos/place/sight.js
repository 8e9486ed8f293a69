/**
 * Where on the photograph does a place on the wall lie, and where on the wall a pixel? The browser's twin of
 * gridmap/homography.py and gridmap/lens.py, for drawing alone: what is kept is computed by the server.
 */

/** @typedef {[number, number]} Point */
/** @typedef {number[][]} Matrix three rows of three */
/** @typedef {{k1: number, k2?: number} | null | undefined} LensTerms */

const STEPS_OF_INVERSE = 60;

/** @param {Matrix} h @param {Point} point @returns {Point} */
export function through(h, [x, y]) {
  const w = h[2][0] * x + h[2][1] * y + h[2][2];
  return [(h[0][0] * x + h[0][1] * y + h[0][2]) / w, (h[1][0] * x + h[1][1] * y + h[1][2]) / w];
}

/** @param {Matrix} m @returns {Matrix} by cofactors; the scale of a homography does not matter, and is kept here */
export function inverse(m) {
  const [[a, b, c], [d, e, f], [g, h, i]] = m;
  const rows = [[e * i - f * h, c * h - b * i, b * f - c * e], [f * g - d * i, a * i - c * g, c * d - a * f], [d * h - e * g, b * g - a * h, a * e - b * d]];
  const determinant = a * rows[0][0] + b * rows[1][0] + c * rows[2][0];
  if (!Number.isFinite(1 / determinant)) throw new Error('This homography has no inverse.');
  return rows.map((row) => row.map((value) => value / determinant));
}

/** A photograph's place on the wall. */
export class Sight {
  /**
   * @param {Matrix} homography straight pixels to wall inches
   * @param {LensTerms} lens
   * @param {{width_px: number, height_px: number}} size
   */
  constructor(homography, lens, size) {
    this.toWallMatrix = homography;
    this.toPictureMatrix = inverse(homography);
    this.lens = lens;
    this.centre = [size.width_px / 2, size.height_px / 2];
    this.half_px = Math.hypot(size.width_px, size.height_px) / 2;
  }

  /** @param {Point} px @returns {Point} [in] */
  toWall(px) {
    return through(this.toWallMatrix, this.straighten(px));
  }

  /** @param {Point} wall_in @returns {Point} [px] */
  toPicture(wall_in) {
    return this.bend(through(this.toPictureMatrix, wall_in));
  }

  /** Whether a place of the wall lies before the camera, on the side of one that does. @param {Point} place @param {Point} seen */
  isBefore([x, y], seen) {
    const depth = (/** @type {Point} */ [px, py]) => this.toPictureMatrix[2][0] * px + this.toPictureMatrix[2][1] * py + this.toPictureMatrix[2][2];
    return depth([x, y]) * depth(seen) > 0;
  }

  /** @private @param {Point} px @returns {Point} */
  straighten(px) {
    if (!this.lens) return px;
    const { k1, k2 = 0 } = this.lens;
    const away = px.map((value, axis) => (value - this.centre[axis]) / this.half_px);
    const r2 = away[0] ** 2 + away[1] ** 2;
    return this.outward(away, 1 + k1 * r2 + k2 * r2 ** 2);
  }

  /** The inverse of straightening, by Newton. @private @param {Point} px @returns {Point} */
  bend(px) {
    if (!this.lens) return px;
    const { k1, k2 = 0 } = this.lens;
    const straight = px.map((value, axis) => (value - this.centre[axis]) / this.half_px);
    const wanted = Math.hypot(...straight);
    let r = wanted;
    for (let step = 0; step < STEPS_OF_INVERSE; step += 1) {
      const slope = Math.max(1 + 3 * k1 * r ** 2 + 5 * k2 * r ** 4, 0.05);
      r = Math.min(Math.max(r - (r * (1 + k1 * r ** 2 + k2 * r ** 4) - wanted) / slope, 0), 4);
    }
    return this.outward(straight, wanted > 1e-12 ? r / wanted : 1);
  }

  /** @private @param {number[]} away @param {number} share @returns {Point} */
  outward(away, share) {
    return /** @type {Point} */ (away.map((value, axis) => this.centre[axis] + value * share * this.half_px));
  }
}
