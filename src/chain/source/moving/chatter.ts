/**
 * Chatter: edges of a matte that flicker from frame to frame beyond what their motion explains.
 *
 *   e₁ = a₁ − (a₀ + a₂) / 2      e₂ = a₂ − (a₁ + a₃) / 2      chatter = √max(−mean(e₁ e₂), 0)
 *
 *   a₀ … a₃   coverage on four frames one after the other, where the second one's edges lie in each (`ways.ts`)
 *
 * Of a flicker that is new in every frame with standard deviation σ the mean of e₁ e₂ is −σ² (of which the search for the motion takes up to
 * a half along). What goes on evenly leaves nothing in e; what
 * gathers speed leaves the same in both, which counts against it. Read where the second frame is partly covered and all four fit; fast
 * edges do not and are left out.
 *
 * Between pixels coverage is drawn straight, which itself is off by α″ f(1 − f) / 2 at a part f of a pixel: where that may be above 0.02, as
 * on hard edges that go by parts of pixels, nothing is read.
 *
 * Speaks of two places in time of three where it is above a twentieth; limits are choices.
 */
import type { FloatImage, Region } from '../../../core/index.js'
import { type Comparison, cannotTell, quiet, regionWhere, telling } from '../../compare.js'
import { movedTo } from './steady.js'
import { BLOCK, edgeBlocks, type Ways, waysBetween } from './ways.js'

export const CHATTER_FRAMES = 4
const PARTLY = [0.02, 0.98] as const
const FITS = 0.3
const LEAST_PIXELS = 150
/** By which coverage between pixels may be off. */
const STRAIGHT = 0.02
const LIMIT = 0.05
const TELL = 'matte-chatter'

export type Four = readonly [FloatImage, FloatImage, FloatImage, FloatImage]

export interface ChatterLook {
  /** Of the element's file: the second of the four. */
  readonly frame: number
  readonly chatter: number
  /** In the element's own picture. */
  readonly region: Region
}

/** Nothing where too little of an edge fits on all of them. @param images premultiplied light of the element's own file */
export function lookAtChatter(frame: number, images: Four): ChatterLook | undefined {
  const [, own] = images
  const { width, height } = own.region
  const blocks = edgeBlocks(own)
  const a = Float32Array.from({ length: width * height }, (_, p) => own.data[4 * p + 3] as number)
  const seen = [images[0], images[2], images[3]].map((image) => {
    const ways = waysBetween(own, image, standing, blocks)
    return { ...movedTo(a, image, ways, blocks, width, height), ways }
  }) as [Moved, Moved, Moved]
  // Of the mean of all four: the flicker itself is no shape.
  const mean = a.map((v, p) => seen.reduce((s, m) => s + (m.alpha[p] as number), v) / CHATTER_FRAMES)
  const counts = (p: number) =>
    (a[p] as number) > PARTLY[0] &&
    (a[p] as number) < PARTLY[1] &&
    seen.every((s) => (s.close[p] as number) > FITS && between(mean, width, height, p, s.ways) < STRAIGHT)
  let [sum, n] = [0, 0]
  const [first, third, fourth] = seen.map((s) => s.alpha) as [Float32Array, Float32Array, Float32Array]
  for (let p = 0; p < a.length; p++) {
    if (!counts(p)) continue
    const [a0, a1, a2, a3] = [first[p]!, a[p]!, third[p]!, fourth[p]!]
    sum += (a1 - (a0 + a2) / 2) * (a2 - (a1 + a3) / 2)
    n++
  }
  if (n < LEAST_PIXELS) return undefined
  return { frame, chatter: Math.sqrt(Math.max(-sum / n, 0)), region: regionWhere(width, height, counts) }
}

type Moved = ReturnType<typeof movedTo> & { readonly ways: Ways }

/** By how much coverage at the place that a pixel went to may be off because it lies between pixels. */
function between(a: Float32Array, width: number, height: number, p: number, ways: Ways): number {
  const [x, y] = [p % width, Math.floor(p / width)]
  if (x < 1 || y < 1 || x > width - 2 || y > height - 2) return Number.POSITIVE_INFINITY
  const b = Math.floor(y / BLOCK) * ways.columns + Math.floor(x / BLOCK)
  const off = (step: number, way: number) => {
    const f = way - Math.floor(way)
    const bend = (q: number) => Math.abs(a[q - step]! - 2 * a[q]! + a[q + step]!)
    return f === 0 ? 0 : (f * (1 - f) * bend(p)) / 2
  }
  return off(1, ways.dx[b]!) + off(width, ways.dy[b]!)
}

/** A search begins where the edge is. */
function standing(_x: number, _y: number, out: Float64Array): void {
  out.fill(0)
}

/** @param looks at places in time that lie apart @param seen frames of the shot that show it, and where */
export function compareChatter(
  name: string,
  looks: readonly (ChatterLook | undefined)[],
  seen: { readonly frames: readonly number[]; readonly region: Region },
): Comparison {
  const known = looks.filter((l) => l !== undefined)
  if (known.length === 0)
    return cannotTell(
      TELL,
      'source',
      'no edge of its matte is seen well on four frames one after the other: too fast, or too hard for parts of a pixel',
    )
  const mean = Math.sqrt(known.reduce((s, l) => s + l.chatter ** 2, 0) / known.length)
  const measured = { chatter: [mean] }
  const out = known.filter((l) => l.chatter > LIMIT)
  const worst = [...out].sort((a, b) => b.chatter - a.chatter)[0]
  if (worst === undefined || out.length < Math.min(2, known.length)) return quiet(measured)
  const { chatter } = worst
  return telling(
    {
      ...{ tell: TELL, link: 'source', frames: seen.frames, region: seen.region },
      ...{ unit: 'share', measured: chatter, expected: 0, limit: LIMIT, confidence: 0.7 },
      sentence: `The edge of ${name} flickers: its coverage jumps by ${(100 * chatter).toFixed(0)} % from frame to frame.`,
      cause: 'Its matte was made frame by frame, from noise or from a codec.',
      remedy:
        'Key it again without --alone (`platefit key` takes flicker out along the motion), or smooth its matte over time.',
      contrast: chatter / LIMIT,
    },
    measured,
  )
}
