/**
 * Faults of a matte: places inside a solid thing that let the plate through, and a veil where nothing stands.
 *
 *   holes   α 0.05 to 0.95 in parts that solid (α above 0.98) encloses on all sides, deeper than 2 px; what is seen through (a part with α
 *           below 0.05) is none. Share of what is solid
 *   veil    0.002 < α < 0.1 farther than 12 px from anything of α above 0.1, so that a soft edge is none. Share of the element's region
 *
 * Of what reflects: smoke and fire are thin by nature. Speaks on three frames; limits are choices.
 */
import type { Region } from '../../../core/index.js'
import {
  type Comparison,
  cannotTell,
  regionWhere,
  type Seen,
  type SeenElement,
  type Verdict,
} from '../../compare.js'

const SOLID = 0.98
const THIN = 0.95
const THROUGH = 0.05
const LEAST_DEEP = 2
const VEIL = [0.002, 0.1] as const
const FAR = 12
const LEAST_SOLID = 400
const HOLES = 0.003
const VEILED = 0.05
const LEAST_FRAMES = 3

export interface MatteLook {
  readonly frame: number
  readonly holes: number
  readonly veil: number
  readonly holed: Region
  readonly veiled: Region
}

/** Nothing where too little is solid, or something stands before it. */
export function lookAtMatte(seen: Seen, e: SeenElement): MatteLook | undefined {
  const { width, height } = seen.plate.region
  const { alpha, region } = e
  let solid = 0
  for (const a of alpha) if (a > SOLID) solid++
  if (solid < LEAST_SOLID || e.holdout?.some((v) => v > 0)) return undefined
  const holes = enclosed(alpha, region, width)
  const near = within(alpha, region, width, FAR)
  let veiled = 0
  const thin = (p: number) => {
    const a = alpha[p] as number
    return a > VEIL[0] && a < VEIL[1] && near[p] === 0
  }
  for (let y = region.y; y < region.y + region.height; y++)
    for (let x = region.x; x < region.x + region.width; x++) if (thin(y * width + x)) veiled++
  return {
    frame: seen.frame,
    holes: holes.size / solid,
    veil: veiled / (region.width * region.height),
    holed: regionWhere(width, height, (p) => holes.has(p)),
    veiled: regionWhere(width, height, thin),
  }
}

/** Pixels of parts that are not solid, all of whose surroundings are, and which nothing is seen through. */
function enclosed(alpha: Float32Array, region: Region, width: number): Set<number> {
  const out = new Set<number>()
  const seen = new Set<number>()
  const [x1, y1] = [region.x + region.width - 1, region.y + region.height - 1]
  for (let y = region.y; y <= y1; y++) {
    for (let x = region.x; x <= x1; x++) {
      const from = y * width + x
      if ((alpha[from] as number) > SOLID || seen.has(from)) continue
      const part = [from]
      seen.add(from)
      let [open, least, highest] = [false, 1, 0]
      for (let k = 0; k < part.length; k++) {
        const p = part[k] as number
        const [u, v] = [p % width, Math.floor(p / width)]
        least = Math.min(least, alpha[p] as number)
        if (u === region.x || v === region.y || u === x1 || v === y1) open = true
        for (const q of [p - 1, p + 1, p - width, p + width]) {
          const [s, t] = [q % width, Math.floor(q / width)]
          if (s < region.x || t < region.y || s > x1 || t > y1) continue
          if (seen.has(q) || (alpha[q] as number) > SOLID) continue
          seen.add(q)
          part.push(q)
        }
        highest = Math.max(highest, Math.abs(v - y), Math.abs(u - x))
      }
      if (open || least < THROUGH || highest < LEAST_DEEP) continue
      for (const p of part) if ((alpha[p] as number) < THIN) out.add(p)
    }
  }
  return out
}

/** 1 within so many px, along both sides, of what stands. */
function within(alpha: Float32Array, region: Region, width: number, by: number): Uint8Array {
  const rows = new Uint8Array(alpha.length)
  const out = new Uint8Array(alpha.length)
  const [x1, y1] = [region.x + region.width, region.y + region.height]
  for (let y = region.y; y < y1; y++) {
    for (let x = region.x, last = -1e9; x < x1 + by; x++) {
      if (x < x1 && (alpha[y * width + x] as number) > VEIL[1]) last = x
      const p = x - by
      if (p >= region.x && p < x1 && last >= p - by) rows[y * width + p] = 1
    }
  }
  for (let x = region.x; x < x1; x++) {
    for (let y = region.y, last = -1e9; y < y1 + by; y++) {
      if (y < y1 && rows[y * width + x] === 1) last = y
      const p = y - by
      if (p >= region.y && p < y1 && last >= p - by) out[p * width + x] = 1
    }
  }
  return out
}

export function compareMatte(name: string, looks: readonly (MatteLook | undefined)[]): Comparison {
  const known = looks.filter((l) => l !== undefined)
  if (known.length === 0) {
    const why = 'too little of the element is solid, or something stands before it'
    return cannotTell(['matte-holes', 'matte-veil'], 'source', why)
  }
  const mean = (of: (l: MatteLook) => number) => known.reduce((s, l) => s + of(l), 0) / known.length
  const verdicts = [
    verdict(known, (l) => l.holes, HOLES, {
      tell: 'matte-holes',
      region: (l) => l.holed,
      sentence: (v) => `${name} lets the plate through in ${(100 * v).toFixed(1)} % of its solid body.`,
      cause: 'Its matte has holes, where it has the colour of the ground that it was keyed from.',
      remedy: 'Key it again with that part drawn in (`platefit key --covered`), or mend its matte.',
    }),
    verdict(known, (l) => l.veil, VEILED, {
      tell: 'matte-veil',
      region: (l) => l.veiled,
      sentence: (v) =>
        `${name} lies as a thin veil over ${(100 * v).toFixed(0)} % of its picture, where nothing of it stands.`,
      cause: 'Its matte does not go down to 0: noise, or the ground, was left in it.',
      remedy: 'Key it again (`platefit key` ends at exactly 0), or draw the rest out (`--outside`).',
    }),
  ]
  return {
    verdicts: verdicts.filter((v) => v !== undefined),
    undecided: [],
    measured: { holes: [mean((l) => l.holes)], veil: [mean((l) => l.veil)] },
  }
}

function verdict(
  looks: readonly MatteLook[],
  of: (l: MatteLook) => number,
  limit: number,
  words: {
    readonly tell: string
    readonly region: (l: MatteLook) => Region
    readonly sentence: (v: number) => string
    readonly cause: string
    readonly remedy: string
  },
): Verdict | undefined {
  const out = looks.filter((l) => of(l) > limit)
  const worst = [...out].sort((a, b) => of(b) - of(a))[0]
  if (worst === undefined || out.length < Math.min(LEAST_FRAMES, looks.length)) return undefined
  const { tell, cause, remedy } = words
  return {
    ...{ tell, link: 'source', frames: out.map((l) => l.frame), region: words.region(worst) },
    ...{ unit: 'share', measured: of(worst), expected: 0, limit, confidence: 0.7 },
    ...{ sentence: words.sentence(of(worst)), cause, remedy, contrast: of(worst) / limit },
  }
}
