/**
 * Spill: an edge that is greener or bluer than the body beside it and than the plate behind it, the mark of the screen it was filmed before.
 *
 *   x(c) = (c_k − max of the other two) / (R + G + B)      k green, then blue
 *   own  = (rendered − keep · plate) / α                   in the rim, α 0.15 to 0.7
 *
 * Of the rim's pixels that have body (α above 0.95) within 10 px: the share whose x is above 0.05 by more than the body's mean x and the
 * plate's own. Speaks from a fifth of them on three frames; limits are choices. Leaves and skies behind colour edges too, by defocus and glare: what
 * the plate has is no spill.
 */
import type { Region } from '../../../core/index.js'
import {
  type Comparison,
  cannotTell,
  quiet,
  regionWhere,
  type Seen,
  type SeenElement,
  telling,
} from '../../compare.js'

const RIM = [0.15, 0.7] as const
const BODY = 0.95
const BESIDE = 10
const EXCESS = 0.05
/** Sum of channels below which a hue is noise. */
const DARKEST = 0.03
const LEAST_RIM = 150
const LIMIT = 0.2
const LEAST_FRAMES = 3

export interface RimLook {
  readonly frame: number
  /** Share of the rim that is greener, or bluer, than its body and the plate. */
  readonly share: number
  readonly hue: 'green' | 'blue'
  readonly region: Region
}

/** Nothing where no rim with a body beside it is seen. */
export function lookAtRim(seen: Seen, e: SeenElement): RimLook | undefined {
  const { width, height } = seen.plate.region
  const count = width * height
  const excess = [new Float32Array(count), new Float32Array(count)] as const
  const body = new Uint8Array(count)
  const rim: number[] = []
  const { x: x0, y: y0, width: w, height: h } = e.region
  for (let y = y0; y < y0 + h; y++) {
    for (let x = x0; x < x0 + w; x++) {
      const p = y * width + x
      const a = e.alpha[p] as number
      const thin = a > RIM[0] && a < RIM[1]
      const alone = Math.abs(1 - (seen.keep[p] as number) - a) < 0.02 && !((e.holdout?.[p] ?? 0) > 0)
      if (!alone || (!thin && a < BODY)) continue
      const own = [0, 1, 2].map(
        (c) =>
          ((seen.rendered.data[4 * p + c] as number) -
            (seen.keep[p] as number) * (seen.plate.data[4 * p + c] as number)) /
          a,
      ) as [number, number, number]
      if (own[0] + own[1] + own[2] < DARKEST) continue
      excess[0][p] = excessOf(own, 1)
      excess[1][p] = excessOf(own, 2)
      if (thin) rim.push(p)
      else body[p] = 1
    }
  }
  const looks = ([1, 2] as const).map((k) => {
    const beside = meansWithin(excess[k - 1] as Float32Array, body, width, height)
    let [more, all] = [0, 0]
    for (const p of rim) {
      const of = beside(p)
      if (of === undefined) continue
      all++
      const behind = excessOf([0, 1, 2].map((c) => seen.plate.data[4 * p + c] as number) as never, k)
      if (((excess[k - 1] as Float32Array)[p] as number) > EXCESS + Math.max(of, behind, 0)) more++
    }
    return { hue: k === 1 ? ('green' as const) : ('blue' as const), all, share: all === 0 ? 0 : more / all }
  })
  const [green, blue] = looks as [(typeof looks)[0], (typeof looks)[0]]
  if (green.all < LEAST_RIM) return undefined
  const { hue, share } = blue.share > green.share ? blue : green
  const region = regionWhere(width, height, (p) => {
    const a = e.alpha[p] as number
    return a > RIM[0] && a < RIM[1]
  })
  return { frame: seen.frame, hue, share, region }
}

function excessOf(c: readonly [number, number, number], k: 1 | 2): number {
  const [r, g, b] = c
  const sum = r + g + b
  if (!(sum > DARKEST)) return 0
  return (k === 1 ? g - Math.max(r, b) : b - Math.max(r, g)) / sum
}

/** Mean of what is marked in a square about a pixel; nothing where none is. By sums over all that lies above and to the left. */
function meansWithin(of: Float32Array, marked: Uint8Array, width: number, height: number) {
  const wide = width + 1
  const sums = new Float64Array(wide * (height + 1))
  const counts = new Int32Array(sums.length)
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const p = y * width + x
      const q = (y + 1) * wide + x + 1
      const own = marked[p] as number
      sums[q] = sums[q - 1]! + sums[q - wide]! - sums[q - wide - 1]! + own * of[p]!
      counts[q] = counts[q - 1]! + counts[q - wide]! - counts[q - wide - 1]! + own
    }
  }
  return (p: number): number | undefined => {
    const [x, y] = [p % width, Math.floor(p / width)]
    const [l, t] = [Math.max(x - BESIDE, 0), Math.max(y - BESIDE, 0) * wide]
    const [r, b] = [Math.min(x + BESIDE + 1, width), Math.min(y + BESIDE + 1, height) * wide]
    const n = counts[b + r]! - counts[b + l]! - counts[t + r]! + counts[t + l]!
    return n === 0 ? undefined : (sums[b + r]! - sums[b + l]! - sums[t + r]! + sums[t + l]!) / n
  }
}

export function compareRim(name: string, looks: readonly (RimLook | undefined)[]): Comparison {
  const known = looks.filter((l) => l !== undefined)
  if (known.length === 0) {
    const why = 'the element has no edge with a body beside it'
    return cannotTell('spill', 'source', why)
  }
  const measured = { spill: [known.reduce((s, l) => s + l.share, 0) / known.length] }
  const out = known.filter((l) => l.share > LIMIT)
  const worst = [...out].sort((a, b) => b.share - a.share)[0]
  if (worst === undefined || out.length < Math.min(LEAST_FRAMES, looks.length)) return quiet(measured)
  const { hue, share, region } = worst
  return telling(
    {
      ...{ tell: 'spill', link: 'source', frames: out.map((l) => l.frame), region },
      ...{ unit: 'share', measured: share, expected: 0, limit: LIMIT, confidence: 0.7 },
      sentence: `${name} has a ${hue} edge: ${(100 * share).toFixed(0)} % of it is ${hue}er than the body beside it.`,
      cause: `Light of a ${hue} screen lies on its edge.`,
      remedy:
        'Key it again with all of the spill taken off (`platefit key`), or take the screen out of the colours of its edge where it was keyed.',
      contrast: share / LIMIT,
    },
    measured,
  )
}
