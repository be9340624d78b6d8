/**
 * Blur of a radius that differs from pixel to pixel, in depth order.
 *
 * Radii have a sign: below 0 lies nearer than what is in focus, above 0 farther; so the smaller one is the nearer. What is seen at q:
 *
 *   out = A + (1 − c_A) · (S + (1 − c_S) · F)
 *
 *   A  light of what is nearer than q, spread by its own radius; c_A how much of q it covers
 *   S  the same of what is as far as q
 *   F  mean of what is farther, over the wider of its radius and q's: what shows where S's own border is soft
 *
 * So near blur covers far sharpness, far blur never comes over a near edge, and a near edge is as soft inside as outside. Two radii are
 * alike within 1 px + ¼ of the wider one: a slope is one thing. Where nothing is farther S is spread over all (its shares add up to 1);
 * what lies hidden behind near things is not known, and F stands for it.
 *
 *   share of p at q = (r − g + ½, from 0 to 1) / Σ of the same     g  the radius at which the opening of the lens just reaches q
 *
 * Every sum runs in the same order whatever part is asked for: the same bits. Cost grows with the square of the radius. Source:
 * [potmesil1981] for the disc of confusion; the three layers: common practice.
 */
import { type FloatImage, grow, isEmpty, type Region } from '../../core/index.js'
import type { Aperture } from '../aperture/shape.js'
import { newImage } from '../wasm/images.js'
import { gauges, wholeShare } from './gauge.js'

/** Signed radius at the middle of a pixel of the plate. */
type RadiusAt = (x: number, y: number) => number

const ALIKE_PX = 1
const ALIKE_SHARE = 0.25

/** How far a blur of at most this radius spreads, in whole pixels. */
export function layeredReach(most: number, a: Aperture): number {
  return gauges(a, most).reach
}

/** @param most the greatest magnitude of any radius, px; @returns the source's region grown by {@link layeredReach} */
export function layeredBlur(src: FloatImage, radiusAt: RadiusAt, most: number, a: Aperture): FloatImage {
  if (isEmpty(src.region)) return src
  const { reach, at: gauge } = gauges(a, most)
  const out = newImage(grow(src.region, reach))
  const all = grow(out.region, reach)
  const radii = new Float64Array(all.width * all.height)
  const shares = new Float64Array(radii.length)
  for (let y = 0, i = 0; y < all.height; y++)
    for (let x = 0; x < all.width; x++, i++) {
      radii[i] = radiusAt(all.x + x, all.y + y)
      shares[i] = 1 / wholeShare(a, Math.abs(radii[i]))
    }
  const value = valuesOf(src, all)
  const side = 2 * reach + 1
  const sums = new Float64Array(15)
  for (let y = 0; y < out.region.height; y++)
    for (let x = 0; x < out.region.width; x++) {
      const q = (y + reach) * all.width + x + reach
      const own = radii[q]
      sums.fill(0)
      for (let j = 0; j < side; j++)
        for (let i = 0; i < side; i++) {
          const p = q + (reach - j) * all.width + reach - i
          add(sums, value, p, own, radii[p], shares[p], gauge[j * side + i])
        }
      layer(sums, out.data, 4 * (y * out.region.width + x))
    }
  return out
}

/** The source's light in the middle of zeros; NaN and infinity count as 0. */
function valuesOf(src: FloatImage, all: Region): Float64Array {
  const value = new Float64Array(4 * all.width * all.height)
  const { x, y, width, height } = src.region
  for (let row = 0; row < height; row++)
    for (let i = 0; i < 4 * width; i++) {
      const v = src.data[4 * row * width + i]
      value[4 * ((row + y - all.y) * all.width + x - all.x) + i] = v - v === 0 ? v : 0
    }
  return value
}

/** What p gives q: into the sums of what is nearer (0 to 4), as far (5 to 9) or farther (10 to 14), the share last in each. */
function add(
  sums: Float64Array,
  value: Float64Array,
  p: number,
  own: number,
  radius: number,
  share: number,
  gauge: number,
): void {
  const [wide, ours] = [Math.abs(radius), Math.abs(own)]
  const alike = ALIKE_PX + ALIKE_SHARE * Math.max(wide, ours)
  const farther = radius > own + alike
  const spread = farther ? Math.max(wide, ours) : wide
  if (spread + 0.5 <= gauge) return
  const covered = Math.min(spread - gauge + 0.5, 1) * share
  const to = farther ? 10 : radius < own - alike ? 0 : 5
  for (let c = 0; c < 4; c++) sums[to + c] += covered * value[4 * p + c]
  sums[to + 4] += covered
}

function layer(sums: Float64Array, out: Float32Array, at: number): void {
  const [near, own, far] = [sums[4], sums[9], sums[14]]
  const ownPart = far > 0 ? 1 / Math.max(own, 1) : 1 / Math.max(own, 1e-9)
  const farPart = far > 0 ? Math.max(1 - own, 0) / far : 0
  const nearPart = 1 / Math.max(near, 1)
  const behind = Math.max(1 - near, 0)
  for (let c = 0; c < 4; c++)
    out[at + c] = nearPart * sums[c] + behind * (ownPart * sums[5 + c] + farPart * sums[10 + c])
}
