/**
 * Glare off a plate's own clipped lights: share and width of the skirt around them.
 *
 * For each width the cells around all lights (`rings.ts`) are fitted, each side of each light with a level of its own, by least squares with
 * Tukey's biweight; the width that explains them best is taken. The spread is that over solutions with each side of each light
 * left out (robust: what one side does to the width is no rule), that between lights, and a tenth of the value, what the form of the skirt leaves (a choice).
 *
 * Light is counted as the file holds it, up to where it is clipped. A lamp far brighter than that has its whole skirt laid to
 * what is seen of it: the share is then too large, so the least one that lights agree on is nearest to the lens. A wall that a lamp lights looks like
 * a skirt; the darkest part of each cell is taken, and fewer than six of eight sides that show a skirt tell none. Specks of a glowing sky
 * are no lights: what is nearest to them is nearly as bright.
 *
 * Source: [mccann2007] for scatter, [huber2009] for the fit, [efron1982] for leaving out.
 */
import { type FloatImage, median, type Reading } from '../../../core/index.js'
import { clippedMask, lightsOf } from './lights.js'
import type { Glare } from './model.js'
import { type RingCell, ringsAround, SIDES } from './rings.js'

/** px: from what a lens's own blur would hide to what the rings still hold. */
const WIDTHS = [3, 4, 5, 6.5, 8, 10, 13, 16, 20, 25, 32, 40] as const
const ROUNDS = 10
const TUKEY = 4.685
const LEAST_CELLS = 24
/** Shares of the sides on which the skirt must show. */
const AGREED = 0.75
/** Times its own spread that a skirt must have. */
const STANDS_OUT = 3
/** Of the end of the code: a lamp is brighter than its surroundings, while a sky's brightest part goes over into the rest of its glow. A choice. */
const GLOWS = 0.4
const FORM = 0.1
const LEAST_SCATTER = 1e-3
/** Light to which a file's noise comes in the dark. */
const DARK = 0.002

export interface GlareSample {
  readonly frame: number
  /** Linear light. */
  readonly image: FloatImage
}

export interface GlareMeasure extends Glare {
  readonly shareSpread: number
  readonly widthSpread: number
}

interface Row extends RingCell {
  /** Side of a light. */
  readonly group: number
  /** What the place varies by: as much as it is bright. */
  readonly rough: number
}

/** @param clip linear value at which the plate's light ends */
export function measureGlare(samples: readonly GlareSample[], clip: number): Reading<GlareMeasure> {
  if (!Number.isFinite(clip))
    return { cannotTell: 'the plate is linear light without an end: nothing in it is clipped' }
  const rows: Row[] = []
  let lights = 0
  for (const { image } of samples) {
    const { width, height } = image.region
    const mask = clippedMask(image, clip)
    for (const light of lightsOf(mask, width, height)) {
      const cells = ringsAround(image, mask, light, clip, WIDTHS)
      if (nearest(cells) > GLOWS * clip) continue
      for (let side = 0; side < SIDES; side++) {
        const own = cells.filter((c) => c.side === side)
        const rough = median(own.map((c) => c.level)) + DARK
        rows.push(...own.map((c) => ({ ...c, group: lights * SIDES + side, rough })))
      }
      lights++
    }
  }
  if (lights === 0) return { cannotTell: 'nothing small and bright enough to be clipped shines in the plate' }
  if (rows.length < LEAST_CELLS) return { cannotTell: 'too little is seen around the lights of the plate' }
  return judged(rows, lights, samples)
}

/** Level nearest to the rim, half of the sides through; 0 where nothing is seen there. */
function nearest(cells: readonly RingCell[]): number {
  return median(cells.filter((c) => c.ring === 0).map((c) => c.level))
}

function judged(
  rows: readonly Row[],
  lights: number,
  samples: readonly GlareSample[],
): Reading<GlareMeasure> {
  const best = bestOf(rows)
  const groups = [...new Set(rows.map((r) => r.group))]
  const without = groups.map((g) => bestOf(rows.filter((r) => r.group !== g)))
  const [n, a] = [groups.length, best.amount]
  const jack = (of: (f: Found) => number) =>
    Math.sqrt(n - 1) * 1.4826 * median(without.map((f) => Math.abs(of(f) - of(best))))
  const amountSpread = Math.hypot(
    jack((f) => f.amount),
    betweenLights(rows, best.width),
  )
  if (!(a > STANDS_OUT * amountSpread))
    return {
      cannotTell: `what lies around ${lightsWord(lights)} goes with the place, not with a skirt of the lens`,
    }
  const sides = groups.map((g) =>
    sideAmount(
      rows.filter((r) => r.group === g),
      best.width,
    ),
  )
  const told = sides.filter((s) => s !== undefined)
  const shown = told.filter((s) => s > 0.3 * a).length
  if (shown < AGREED * told.length)
    return {
      cannotTell: `a skirt shows on ${shown} of ${told.length} sides of ${lightsWord(lights)} alone: it is light on the place`,
    }
  const share = a / (1 + a)
  const shareSpread = Math.hypot(amountSpread / (1 + a) ** 2, FORM * share)
  const width = WIDTHS[best.width] as number
  const widthSpread = Math.hypot(
    jack((f) => WIDTHS[f.width] as number),
    FORM * width,
  )
  return {
    value: { share, width, shareSpread, widthSpread },
    evidence: {
      kind: 'measured',
      frames: samples.map((s) => s.frame),
      method: `fall of the light around ${lightsWord(lights)} as the file holds them; a lamp far above its end seems to glare more`,
      spread: shareSpread,
      confidence: lights > 2 ? 0.6 : 0.45,
    },
  }
}

function lightsWord(n: number): string {
  return n === 1 ? 'one clipped light' : `${n} clipped lights`
}

interface Found {
  readonly amount: number
  /** Index of the width. */
  readonly width: number
}

/** The width with the likeliest rest (of Cauchy's distribution, which forgives what stands around), scaled as the tightest one's. */
function bestOf(rows: readonly Row[]): Found {
  const fits = WIDTHS.map((_, width) => ({ ...fitted(rows, width), width }))
  const scatter = Math.min(...fits.map((f) => f.scatter))
  const cost = (f: Fit) => f.left.reduce((sum, v) => sum + Math.log1p((v / scatter) ** 2), 0)
  const costs = fits.map(cost)
  return fits[costs.indexOf(Math.min(...costs))] as Found
}

interface Fit {
  readonly amount: number
  readonly left: readonly number[]
  readonly scatter: number
}

/** One amount for all, a level for each side of each light. */
function fitted(rows: readonly Row[], width: number): Fit {
  let weights = rows.map((r) => 1 / r.rough ** 2)
  let amount = 0
  let left: number[] = []
  let scatter = LEAST_SCATTER
  for (let round = 0; round < ROUNDS; round++) {
    const middles = middlesOf(rows, weights, width)
    let [xy, xx] = [0, 0]
    rows.forEach((r, i) => {
      const m = middles.get(r.group) as Middle
      const x = (r.skirts[width] as number) - m.x
      xy += (weights[i] as number) * x * (r.level - m.y)
      xx += (weights[i] as number) * x * x
    })
    amount = xx > 0 ? xy / xx : 0
    left = rows.map((r) => {
      const m = middles.get(r.group) as Middle
      return (r.level - m.y - amount * ((r.skirts[width] as number) - m.x)) / r.rough
    })
    scatter = Math.max(1.4826 * median(left.map(Math.abs)), LEAST_SCATTER)
    weights = left.map(
      (v, i) => (Math.max(1 - (v / (TUKEY * scatter)) ** 2, 0) / (rows[i] as Row).rough) ** 2,
    )
  }
  return { amount, left, scatter }
}

interface Middle {
  x: number
  y: number
  weight: number
}

function middlesOf(rows: readonly Row[], weights: readonly number[], width: number): Map<number, Middle> {
  const sums = new Map<number, Middle>()
  rows.forEach((r, i) => {
    const s = sums.get(r.group) ?? { x: 0, y: 0, weight: 0 }
    const w = Math.max(weights[i] as number, 1e-9)
    s.x += w * (r.skirts[width] as number)
    s.y += w * r.level
    s.weight += w
    sums.set(r.group, s)
  })
  for (const s of sums.values()) {
    s.x /= s.weight
    s.y /= s.weight
  }
  return sums
}

/** How far lights apart tell the same: one standard deviation of their mean. */
function betweenLights(rows: readonly Row[], width: number): number {
  const lights = [...new Set(rows.map((r) => Math.floor(r.group / SIDES)))]
  const amounts = lights.map(
    (l) =>
      fitted(
        rows.filter((r) => Math.floor(r.group / SIDES) === l),
        width,
      ).amount,
  )
  const n = amounts.length
  if (n < 2) return 0
  const mean = amounts.reduce((sum, a) => sum + a, 0) / n
  return Math.sqrt(amounts.reduce((sum, a) => sum + (a - mean) ** 2, 0) / (n - 1) / n)
}

/** Of one side alone; undefined with too few cells. */
function sideAmount(rows: readonly Row[], width: number): number | undefined {
  return rows.length < 4 ? undefined : fitted(rows, width).amount
}
