/**
 * Key colour of one picture: a green or blue ground, found as one narrow peak of chroma, and how even it is.
 *
 *   ground     pixels of saturated green or blue whose shares r, g of R + G + B lie within 0.06 of the fullest cell of chroma
 *   half range ½ · log2 of the 90 % over the 10 % quantile of its light, stops
 *   patches    mean of |log2| of the light of neighbouring cells (24 across, 14 down), stops
 *   spread     90 % quantile of the distance of r, g from their medians
 *
 * Light on a wall changes slowly from place to place; leaves, sharp or blurred, do not: by `patches` they are told apart. A clear
 * sky is blue as well (λ⁻⁴ on daylight: B about 2 G, cameras up to 4 G), a blue ground is B above 5 G: between the two it is
 * said to be like a sky. Limits are choices.
 */
import { type FloatImage, median, quantile, sorted } from '../../core/index.js'

export type KeyColour = 'green' | 'yellow-green' | 'blue'
export type BorderShares = readonly [top: number, right: number, bottom: number, left: number]

export interface KeyGround {
  readonly colour: KeyColour
  /** Share of the picture, 0 to 1. */
  readonly share: number
  /** Evenness of its light: 80 % of it lies within ± this, stops. */
  readonly halfRange: number
  /** Median of its light in the channel it is brightest in. */
  readonly level: number
  /** Shares of R and G in the sum of its channels. */
  readonly chroma: readonly [number, number]
  /** Within this of it lie nine tenths of the ground. */
  readonly spread: number
  readonly patches: number
  /** Share of each side of the frame that it meets. */
  readonly border: BorderShares
  readonly likeSky: boolean
}

const CELLS = 50
const REACH = 0.06
const [ACROSS, DOWN] = [24, 14]
/** A ground is no smaller part of the picture, and meets this much of two sides. */
const LEAST = 0.1
const SIDE = 0.15
/** Light changes by less from cell to cell on a wall, and over all of it, stops. */
const PATCHES = 0.16
const HALF_RANGE = 1.2

/** The largest ground, when at least half of the pictures have one; `found` counts those. @param images opaque linear light */
export function findKey(images: readonly FloatImage[]): { best: KeyGround | undefined; found: number } {
  const found = images
    .map(keyGroundOf)
    .filter(isLarge)
    .sort((a, b) => b.share - a.share)
  return { best: 2 * found.length < images.length ? undefined : found[0], found: found.length }
}

/** Whether it is a ground to key, rather than leaves, a sky or things of that colour. */
export function isKeyable(k: KeyGround): boolean {
  return k.patches < PATCHES && k.halfRange < HALF_RANGE && !k.likeSky
}

export function isLarge(k: KeyGround | undefined): k is KeyGround {
  return k !== undefined && k.share > LEAST && k.border.filter((s) => s > SIDE).length >= 2
}

/** Green or yellow-green, or blue far bluer than grey. */
function isKeyColour(r: number, g: number, b: number): boolean {
  const green = g > 1.3 * Math.max(r, b) || (g > 0.95 * r && g > 3 * b)
  return green || (b > 1.8 * g && b > 2 * r)
}

/**
 * @param image opaque linear light; rows may be left out evenly
 * @returns what is green or blue in it; undefined when nothing is
 */
export function keyGroundOf(image: FloatImage): KeyGround | undefined {
  const { width, height } = image.region
  const inside = peakOf(image)
  if (inside === undefined) return undefined
  const d = image.data
  const [reds, greens]: [number[], number[]] = [[], []]
  const sums = [0, 0, 0]
  const sides = [0, 0, 0, 0] as [number, number, number, number]
  for (let p = 0; p < inside.length; p++) {
    if (inside[p] === 0) continue
    const [r, g, b] = [d[4 * p], d[4 * p + 1], d[4 * p + 2]] as [number, number, number]
    sums[0] = (sums[0] as number) + r
    sums[1] = (sums[1] as number) + g
    sums[2] = (sums[2] as number) + b
    reds.push(r / (r + g + b))
    greens.push(g / (r + g + b))
    const [x, y] = [p % width, Math.floor(p / width)]
    if (y === 0) sides[0]++
    if (x === width - 1) sides[1]++
    if (y === height - 1) sides[2]++
    if (x === 0) sides[3]++
  }
  const [r, g, b] = sums as [number, number, number]
  const channel = g >= b ? 1 : 2
  const light = sorted(pick(d, inside, channel))
  const [mr, mg] = [median(reds), median(greens)]
  const off = sorted(reds.map((v, i) => Math.hypot(v - mr, (greens[i] as number) - mg)))
  return {
    colour: channel === 2 ? 'blue' : r > 0.5 * g ? 'yellow-green' : 'green',
    share: light.length / inside.length,
    halfRange: 0.5 * Math.log2(Math.max(quantile(light, 0.9), 1e-6) / Math.max(quantile(light, 0.1), 1e-6)),
    level: quantile(light, 0.5),
    chroma: [mr, mg],
    spread: quantile(off, 0.9),
    patches: patchesOf(image, inside, channel),
    border: [sides[0] / width, sides[1] / height, sides[2] / width, sides[3] / height],
    likeSky: channel === 2 && b < 5 * g,
  }
}

/** Which pixels lie at the peak of chroma: 1 those. */
function peakOf({ region, data: d }: FloatImage): Uint8Array | undefined {
  const counts = new Uint32Array(CELLS * CELLS)
  const cell = new Int16Array(region.width * region.height).fill(-1)
  for (let p = 0; p < cell.length; p++) {
    const [r, g, b] = [d[4 * p], d[4 * p + 1], d[4 * p + 2]] as [number, number, number]
    const sum = r + g + b
    if (!(sum > 0.03) || !isKeyColour(r, g, b)) continue
    const x = Math.min(CELLS - 1, Math.max(0, Math.floor((r / sum) * CELLS)))
    const y = Math.min(CELLS - 1, Math.max(0, Math.floor((g / sum) * CELLS)))
    const at = y * CELLS + x
    cell[p] = at
    counts[at] = (counts[at] as number) + 1
  }
  let peak = 0
  for (let i = 1; i < counts.length; i++) if ((counts[i] as number) > (counts[peak] as number)) peak = i
  if (counts[peak] === 0) return undefined
  const [px, py] = [peak % CELLS, Math.floor(peak / CELLS)]
  const near = Uint8Array.from(counts, (_, at) =>
    Math.hypot((at % CELLS) - px, Math.floor(at / CELLS) - py) <= REACH * CELLS ? 1 : 0,
  )
  return Uint8Array.from(cell, (at) => (at < 0 ? 0 : (near[at] as number)))
}

function* pick(d: Float32Array, inside: Uint8Array, channel: number): Generator<number> {
  for (let p = 0; p < inside.length; p++) if (inside[p] === 1) yield d[4 * p + channel] as number
}

function patchesOf({ region, data }: FloatImage, inside: Uint8Array, channel: number): number {
  const { width, height } = region
  const sum = new Float64Array(ACROSS * DOWN)
  const count = new Uint32Array(ACROSS * DOWN)
  const all = new Uint32Array(ACROSS * DOWN)
  for (let p = 0; p < inside.length; p++) {
    const at =
      Math.floor((Math.floor(p / width) * DOWN) / height) * ACROSS +
      Math.floor(((p % width) * ACROSS) / width)
    all[at] = (all[at] as number) + 1
    if (inside[p] === 0) continue
    sum[at] = (sum[at] as number) + (data[4 * p + channel] as number)
    count[at] = (count[at] as number) + 1
  }
  const mean = (at: number) =>
    2 * (count[at] as number) > (all[at] as number) ? (sum[at] as number) / (count[at] as number) : undefined
  let [steps, n] = [0, 0]
  const step = (a: number, b: number) => {
    const [u, v] = [mean(a), mean(b)]
    if (u === undefined || v === undefined || !(u > 0) || !(v > 0)) return
    steps += Math.abs(Math.log2(u / v))
    n++
  }
  for (let at = 0; at < ACROSS * DOWN; at++) {
    if ((at + 1) % ACROSS !== 0 && at + 1 < ACROSS * DOWN) step(at, at + 1)
    if (at + ACROSS < ACROSS * DOWN) step(at, at + ACROSS)
  }
  return n === 0 ? Number.POSITIVE_INFINITY : steps / n
}
