/**
 * Halo: a rim that is darker or brighter than anything inside the element, the mark of a wrong alpha kind.
 *
 * The element's own colour, (rendered − keep · plate) / α, in its thin rim (α 0.08 to 0.3) against its core (α above 0.6 of its
 * most). Speaks when the rim's middle leaves the core's 2 to 98 % by more than 0.7 stop on three frames or more (a choice).
 */
import { quantile, type Region } from '../../../core/index.js'
import {
  type Comparison,
  cannotTell,
  quiet,
  regionWhere,
  type Seen,
  type SeenElement,
  stops,
  telling,
} from '../../compare.js'

const LIMIT = 0.7
const LEAST_FRAMES = 3
const EPSILON = 0.004

export interface HaloLook {
  readonly frame: number
  /** Stops by which the rim leaves the core's range; 0 inside it. */
  readonly off: number
  readonly region: Region
}

export function lookAtHalo(seen: Seen, e: SeenElement): HaloLook | undefined {
  const { width, height } = seen.plate.region
  const rim: number[] = []
  const core: number[] = []
  let most = 0
  for (const a of e.alpha) if (a > most) most = a
  for (let y = e.region.y; y < e.region.y + e.region.height; y++) {
    for (let x = e.region.x; x < e.region.x + e.region.width; x++) {
      const p = y * width + x
      const a = e.alpha[p] as number
      const thin = a > 0.08 && a < 0.3
      if ((!thin && a < 0.6 * most) || Math.abs(1 - (seen.keep[p] as number) - a) > 0.02) continue
      let c = 0
      for (let k = 0; k < 3; k++) {
        c +=
          (seen.rendered.data[4 * p + k] as number) -
          (seen.keep[p] as number) * (seen.plate.data[4 * p + k] as number)
      }
      const own = c / 3 / a
      if (thin) rim.push(own)
      else core.push(own)
    }
  }
  if (most < 0.5 || rim.length < 200 || core.length < 200) return undefined
  const sort = (v: number[]) => Float64Array.from(v).sort()
  const inside = sort(core)
  const middle = quantile(sort(rim), 0.5)
  const log = (v: number) => Math.log2(Math.max(v, 0) + EPSILON)
  const above = log(middle) - log(quantile(inside, 0.98))
  const below = log(quantile(inside, 0.02)) - log(middle)
  const off = above > 0 ? above : below > 0 ? -below : 0
  return {
    frame: seen.frame,
    off,
    region: regionWhere(width, height, (p) => (e.alpha[p] as number) > 0.08 && (e.alpha[p] as number) < 0.3),
  }
}

export function compareHalo(name: string, looks: readonly (HaloLook | undefined)[]): Comparison {
  const known = looks.filter((l) => l !== undefined)
  if (known.length === 0) {
    return cannotTell('halo', 'source', 'the element has no rim and core that could be told apart')
  }
  const out = known.filter((l) => Math.abs(l.off) > LIMIT)
  const worst = [...out].sort((a, b) => Math.abs(b.off) - Math.abs(a.off))[0]
  const measured = { halo: [known.reduce((s, l) => s + l.off, 0) / known.length] }
  if (worst === undefined || out.length < LEAST_FRAMES) return quiet(measured)
  return telling(
    {
      tell: 'halo',
      link: 'source',
      frames: out.map((l) => l.frame),
      region: worst.region,
      unit: 'stops',
      measured: worst.off,
      expected: 0,
      limit: LIMIT,
      confidence: 0.7,
      sentence: `${name} has a rim ${stops(worst.off)} ${worst.off > 0 ? 'brighter' : 'darker'} than its core.`,
      cause: 'The alpha is probably of another kind than the document says.',
      // Straight colour divided by its alpha is too bright at the rim; colour multiplied twice is too dark.
      remedy: `Try alpha "${worst.off > 0 ? 'straight' : 'premultiplied'}".`,
      contrast: Math.abs(worst.off) / LIMIT,
    },
    measured,
  )
}
