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
 * Arithmetic is in single precision.
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
import { at } from '../wasm/images.js'
import { duringScratch, takeBytes } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'
import { type Carried, carried, carryBack, type Pictures, scaleWords } from './carry.js'
import { chromaRegion } from './chromaRegion.js'
import type { Coding } from './coding.js'
import { patchYuv } from './patchYuv.js'

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
  const chroma = chromaRegion(before.region, base.layout, base.width, base.height)
  checkMargin(base, before.region, touched)
  const busy = busyRows(touched, before.region)
  if (!busy.includes(1)) return
  at(before.data, false, (b) =>
    at(after.data, false, (a) =>
      at(keep, false, (k) =>
        at(touched, false, (t) =>
          duringScratch(() => {
            const pictures: Pictures = {
              region: before.region,
              busy,
              before: b,
              after: a,
              keep: k,
              touched: t,
            }
            patchPlanes(base, pictures, chroma, coding)
          }),
        ),
      ),
    ),
  )
}

function patchPlanes(base: NativeFrame, p: Pictures, chroma: Region, coding: Coding): void {
  const { layout } = base
  if (layout.family === 'rgb') for (let c = 0; c < 3; c++) patchPlane(base, c, p, coding)
  else patchYuv(base, chroma, p, coding)
  if (layout.alpha) patchPlane(base, 3, p, coding)
}

/** Plane R, G, B or alpha, which is a channel of the picture. */
function patchPlane(base: NativeFrame, plane: number, p: Pictures, coding: Coding): void {
  const { x, y, width, height } = p.region
  const line = () => takeBytes(4 * width + 64)
  duringScratch(() => {
    const samples: Carried = carried(base.planes[plane], y, height)
    const codes = scaleWords(base, coding, plane)
    const [after, before] = [line(), line()]
    for (let j = 0; j < height; j++) {
      if (p.busy[j] === 0) continue
      const i = j * width
      simd.channelRow(p.after + 16 * i + 4 * plane, width, after)
      simd.channelRow(p.before + 16 * i + 4 * plane, width, before)
      const to = samples.start + samples.line * j + (x << samples.type)
      simd.settleRow(to, samples.type, after, before, p.keep + 4 * i, p.touched + i, 0, width, codes)
    }
    carryBack(samples, base.planes[plane], y, height)
  })
}

function busyRows(touched: Uint8Array, { width, height }: Region): Uint8Array {
  const rows = new Uint8Array(height)
  for (let y = 0; y < height; y++) rows[y] = touched.subarray(y * width, (y + 1) * width).includes(1) ? 1 : 0
  return rows
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
