/**
 * New code values into a frame's own samples, where something touched it and nowhere else.
 *
 *   new = pack(after) + k·(base − pack(before)),  k = mean of `keep` over the sample's footprint
 *
 *   base    the sample as the file holds it
 *   before  the picture that `unpack` made of it;  after  the picture with the effect, both code values
 *   keep    how much of a pixel is still the plate's: 1 − α of what covers it
 *
 * base − pack(before) is what the way through float R′G′B′ loses (chroma detail above all); it is given back in
 * proportion to what is still the plate's. Footprint: the pixel itself for luma, R, G, B and alpha, the pixels under
 * the triangle of `taps.ts` for chroma, with its weights. A sample changes only when its footprint holds a touched
 * pixel; where `after` equals `before` and `keep` is 1 it stays bit for bit. Integers are rounded to nearest (halves
 * up) and held to the sample type's range; super-whites stay. Without a finite base or before nothing is given
 * back; what is still NaN then becomes 0.
 *
 * Source: ARCHITECTURE rule 1; common practice.
 * @throws Problem `kernels.patch-margin` when touched pixels lie so near the region's edge that samples outside it
 * would change: take the region from `patchRegion`.
 */
import {
  align,
  type FloatImage,
  grow,
  intersect,
  type NativeFrame,
  type PixelLayout,
  Problem,
  type Region,
} from '../../core/index.js'
import { type CodeScale, codeScale } from './codes.js'
import { type Coding, weightsOf } from './coding.js'
import { chromaRegion } from './pack.js'
import { patchChroma } from './patch-chroma.js'
import { settle } from './settle.js'

/** The region that a patch needs for touched pixels inside `touched`: grown by the chroma footprint and aligned. */
export function patchRegion(
  touched: Region,
  layout: PixelLayout,
  frameWidth: number,
  frameHeight: number,
): Region {
  const margin = Math.max(marginOf(layout.subX), marginOf(layout.subY))
  const aligned = align(grow(touched, margin), 1 << layout.subX, 1 << layout.subY)
  return intersect(aligned, { x: 0, y: 0, width: frameWidth, height: frameHeight })
}

/** Changes `base` in place. `keep` and `touched` hold one value a pixel of the region of `before` and `after`. */
export function patch(
  base: NativeFrame,
  before: FloatImage,
  after: FloatImage,
  keep: Float32Array,
  touched: Uint8Array,
  coding: Coding,
): void {
  const { layout } = base
  const chroma = chromaRegion(before.region, layout, base.width, base.height)
  checkMargin(base, before.region, touched)
  const scale = (plane: number) => codeScale(layout, coding.range, plane)
  if (layout.family === 'rgb') {
    for (let p = 0; p < 3; p++) patchPlane(base, p, p, [1], before, after, keep, touched, scale(p))
  } else {
    const { kr, kb } = weightsOf(coding)
    patchPlane(base, 0, 0, [kr, 1 - kr - kb, kb], before, after, keep, touched, scale(0))
    patchChroma(base, chroma, before, after, keep, touched, coding)
  }
  if (layout.alpha) patchPlane(base, 3, 3, [1], before, after, keep, touched, scale(3))
}

/** A full-size plane; its value is the weighted sum of the picture's channels from `channel` on. */
function patchPlane(
  base: NativeFrame,
  plane: number,
  channel: number,
  weights: readonly number[],
  before: FloatImage,
  after: FloatImage,
  keep: Float32Array,
  touched: Uint8Array,
  { offset, scale, top }: CodeScale,
): void {
  const { x, y, width, height } = before.region
  const { data } = base.planes[plane]
  const [w0, w1 = 0, w2 = 0] = weights
  const single = weights.length === 1
  for (let j = 0; j < height; j++) {
    let o = (y + j) * base.width + x
    for (let i = j * width; i < (j + 1) * width; i++, o++) {
      if (touched[i] === 0) continue
      const c = 4 * i + channel
      const a = single ? after.data[c] : w0 * after.data[c] + w1 * after.data[c + 1] + w2 * after.data[c + 2]
      const b = single
        ? before.data[c]
        : w0 * before.data[c] + w1 * before.data[c + 1] + w2 * before.data[c + 2]
      data[o] = settle(data[o], offset + scale * a, offset + scale * b, keep[i], top)
    }
  }
}

/** Farthest pixel under a chroma sample's filter from any other pixel under it (centred: 2·step of them). */
function marginOf(sub: number): number {
  return sub === 0 ? 0 : 2 * (1 << sub) - 1
}

function checkMargin(base: NativeFrame, region: Region, touched: Uint8Array): void {
  const { width, height } = region
  const mx = marginOf(base.layout.subX)
  const my = marginOf(base.layout.subY)
  const left = region.x === 0 ? 0 : mx
  const right = region.x + width === base.width ? width : width - mx
  const top = region.y === 0 ? 0 : my
  const bottom = region.y + height === base.height ? height : height - my
  if (left === 0 && top === 0 && right === width && bottom === height) return
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      if (y >= top && y < bottom && x === left) x = Math.max(left, right)
      if (x < width && touched[y * width + x] !== 0) {
        throw new Problem({
          code: 'kernels.patch-margin',
          what: "A touched pixel lies too near the region's edge: chroma outside would have to change",
          expected: `${mx}×${my} untouched pixels inside every edge that is not the frame's border`,
          received: `touched at ${region.x + x}, ${region.y + y}`,
          exit: 3,
        })
      }
    }
  }
}
