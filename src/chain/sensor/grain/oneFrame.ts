/**
 * Noise in single frames: blocks of 16×16 px (8×8 in small pictures) less the plane that fits them best, by level; of those of like
 * level the ones that are noise alone (`lowTail.ts`).
 *
 *   σ² = v (n − 3) / (n − 3 S)      k = (n − 3) / Q      S = Π (1 + ρ)/(1 − ρ)      Q = Π (1 + ρ²)/(1 − ρ²)      over both axes
 *
 *   v  variance less the plane     n  pixels     ρ  correlation with the next pixel: a plane takes more of coarse noise, and its
 *   pixels count for fewer. S and Q are those of a first-order autoregression.
 *
 * Source: [foi2008]; variance of means of correlated numbers: common practice.
 */
import { type FloatImage, median } from '../../../core/index.js'
import { type BlockStats, blockStats } from '../../../kernels/index.js'
import { coarseness, noiseOf } from './lowTail.js'

const SMALL = 500_000
const MOST_LEVELS = 10
const LEAST_BLOCKS = 48

export interface Level {
  readonly level: number
  /** R, G, B; undefined where the picture has no flat place at that level. */
  readonly variance: readonly (number | undefined)[]
  readonly spread: readonly (number | undefined)[]
}

export interface FlatBlock {
  readonly image: FloatImage
  readonly x: number
  readonly y: number
  readonly level: readonly number[]
}

export interface OneFrame {
  readonly levels: readonly Level[]
  /** Blocks that hold no texture in any channel. */
  readonly flat: readonly FlatBlock[]
  readonly size: number
  readonly blocks: number
}

/** Whether a block is looked at, by its upper left corner and side. */
export type Wanted = (image: FloatImage, x: number, y: number, size: number) => boolean
export const EVERYWHERE: Wanted = () => true

interface Own extends BlockStats {
  readonly image: FloatImage
}

/**
 * @param clip linear value at which the code ends; blocks near it or at black are left out
 * @param only blocks that are looked at
 */
export function noiseInFrames(
  images: readonly FloatImage[],
  clip: number,
  only: Wanted = EVERYWHERE,
): OneFrame {
  const pixels = images[0] === undefined ? 0 : images[0].region.width * images[0].region.height
  const size = pixels < SMALL ? 8 : 16
  const blocks = images
    .flatMap((image) => blockStats(image, size).map((b): Own => ({ ...b, image })))
    .filter(
      (b) =>
        b.variance.every(Number.isFinite) &&
        only(b.image, b.x, b.y, size) &&
        b.mean.every((m, c) => {
          const reach = 2.5 * Math.sqrt(b.variance[c] as number)
          return m > reach && m < clip - reach
        }),
    )
    .sort((a, b) => middleOf(a) - middleOf(b))
  const groups = Math.min(MOST_LEVELS, Math.floor(blocks.length / LEAST_BLOCKS))
  const levels: Level[] = []
  const flat: FlatBlock[] = []
  for (let g = 0; g < groups; g++) {
    const own = blocks.slice((g * blocks.length) / groups, ((g + 1) * blocks.length) / groups)
    const found = [0, 1, 2].map((c) => ofChannel(own, c, size))
    levels.push({
      level: own.reduce((s, b) => s + middleOf(b), 0) / own.length,
      variance: found.map((f) => f?.variance),
      spread: found.map((f) => f?.spread),
    })
    const limits = found.map((f) => f?.limit ?? 0)
    const calm = own.filter((b) =>
      b.variance.every((v, c) => v / evenness(b.mean[c] as number) <= (limits[c] as number)),
    )
    flat.push(...calm.map((b) => ({ image: b.image, x: b.x, y: b.y, level: b.mean })))
  }
  return { levels, flat, size, blocks: blocks.length }
}

function middleOf(b: Own): number {
  return (b.mean[0] + b.mean[1] + b.mean[2]) / 3
}

/** About how variance goes with level inside one group, so that its blocks can be held against each other. */
function evenness(level: number): number {
  return level + 0.02
}

function ofChannel(blocks: readonly Own[], c: number, size: number) {
  const even = blocks.map((b) => (b.variance[c] as number) / evenness(b.mean[c] as number))
  const order = even.map((_, i) => i).sort((a, b) => (even[a] as number) - (even[b] as number))
  const quiet = order.slice(0, Math.max(8, order.length >> 2)).map((i) => blocks[i] as Own)
  const own = (of: (b: Own) => number) => {
    const values = quiet.map(of).filter((v) => !Number.isNaN(v))
    return values.length === 0 ? 0 : Math.min(Math.max(median(values), 0), 0.8)
  }
  const n = size * size
  const { wide, fewer } = coarseness(
    own((b) => b.lagX[c] as number),
    own((b) => b.lagY[c] as number),
  )
  const kept = (n - 3 * Math.min(wide, n / 8)) / (n - 3)
  const tail = noiseOf(
    order.map((i) => even[i] as number),
    (n - 3) / fewer,
  )
  if (tail === undefined) return undefined
  const level = blocks.reduce((s, b) => s + evenness(b.mean[c] as number), 0) / blocks.length / kept
  return { variance: tail.variance * level, spread: tail.spread * level, limit: tail.limit }
}
