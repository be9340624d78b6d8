/**
 * Key colour: a green or blue ground, found as one narrow peak of chroma, and how even its light is.
 *
 *   ground: saturated green or blue pixels whose r, g chromaticity lies within 0.06 of the peak
 *   evenness: ½ · log2 of the 90 % over the 10 % quantile of its light, in stops
 *
 * Present from a tenth of the picture, and where it reaches at least two sides. Foliage is green too, but its chroma is spread
 * and its light uneven from pixel to pixel: it needs to be smooth (mean step to the next pixel under a tenth of its level).
 * Limits are a choice; the half stop for a good ground is common practice.
 */
import { type FloatImage, quantile, sorted } from '../../core/index.js'
import { cannotTell, type Finding, percent, rounded } from './finding.js'

const CODE = 'diagnose.key'
const METHOD = 'narrowest peak of green or blue chroma in linear light'
const CELLS = 50

/** Mean step to the next pixel, as a share of its level, from which it is no smooth ground. */
const ROUGH = 0.1
/** Stops to either side from which its light is too uneven to call it one ground. */
const UNEVEN = 0.9

/** A ground of one key colour on one picture. */
export interface KeyGround {
  readonly colour: 'green' | 'blue'
  /** Of the picture. */
  readonly share: number
  /** Its light, stops to either side. */
  readonly halfRange: number
  /** Sides of the picture that it reaches. */
  readonly sides: number
  readonly roughness: number
  /** Shares of R and G in the sum of its channels. */
  readonly chroma: readonly [number, number]
}

/** The largest ground, when at least half of the pictures have one; `found` counts those. */
export function findKey(images: readonly FloatImage[]): { best: KeyGround | undefined; found: number } {
  const found = images
    .map(groundOf)
    .filter((g) => g !== undefined)
    .filter((g) => g.share > 0.1 && g.sides >= 2)
    .sort((a, b) => b.share - a.share)
  return { best: 2 * found.length < images.length ? undefined : found[0], found: found.length }
}

/** Whether it is smooth and even enough to be a ground to key, and no foliage and no things of that colour. */
export function isKeyable({ roughness, halfRange }: KeyGround): boolean {
  return roughness <= ROUGH && halfRange <= UNEVEN
}

export function keyFinding(images: readonly FloatImage[], frames: readonly number[]): Finding {
  const base = { code: CODE, frames, method: METHOD }
  if (images.length === 0) return cannotTell(CODE, 'No frame was looked at.', METHOD, frames)
  const { best, found } = findKey(images)
  if (best === undefined)
    return {
      ...base,
      verdict: 'fine',
      sentence: 'There is no key colour.',
      confidence: 0.7,
      numbers: { found },
    }
  const numbers = {
    colour: best.colour,
    share: rounded(best.share),
    evennessStops: rounded(best.halfRange),
    roughness: rounded(best.roughness),
  }
  if (best.roughness > ROUGH)
    return cannotTell(
      CODE,
      `Much of it is ${best.colour}, but not smooth: foliage rather than a ground to key.`,
      METHOD,
      frames,
      numbers,
    )
  if (best.halfRange > UNEVEN)
    return cannotTell(
      CODE,
      `Much of it is ${best.colour}, but its light varies by ±${best.halfRange.toFixed(1)} stop: a very uneven ground, or things of that colour.`,
      METHOD,
      frames,
      numbers,
    )
  const uneven = best.halfRange > 0.5
  return {
    ...base,
    verdict: 'fine',
    sentence: `A ${best.colour} ground fills ${percent(best.share)} of it, lit within ±${best.halfRange.toFixed(2)} stop${uneven ? ', which is uneven' : ''}.`,
    confidence: 0.6,
    numbers,
  }
}

/** Green or yellow-green, or blue far bluer than a sky. */
function isKeyColour(r: number, g: number, b: number): boolean {
  const green = g > 1.3 * Math.max(r, b) || (g > 0.95 * r && g > 3 * b)
  return green || (b > 1.5 * g && b > 1.8 * r)
}

function groundOf(image: FloatImage): KeyGround | undefined {
  const { width, height } = image.region
  const d = image.data
  const counts = new Uint32Array(CELLS * CELLS)
  const cell = new Int32Array(width * height).fill(-1)
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
  const inside = (at: number) =>
    at >= 0 && Math.hypot((at % CELLS) - px, Math.floor(at / CELLS) - py) <= 0.06 * CELLS
  const channel = py / CELLS >= 1 - px / CELLS - py / CELLS ? 1 : 2
  const light: number[] = []
  const sides = [0, 0, 0, 0]
  let [step, steps] = [0, 0]
  for (let p = 0; p < cell.length; p++) {
    if (!inside(cell[p] as number)) continue
    const v = d[4 * p + channel] as number
    light.push(v)
    const [x, y] = [p % width, Math.floor(p / width)]
    if (y === 0) sides[0]!++
    if (y === height - 1) sides[1]!++
    if (x === 0) sides[2]!++
    if (x === width - 1) sides[3]!++
    if (x + 1 < width && inside(cell[p + 1] as number)) {
      step += Math.abs((d[4 * p + 4 + channel] as number) - v)
      steps++
    }
  }
  const s = sorted(light)
  const mean = s.reduce((a, v) => a + v, 0) / s.length
  return {
    colour: channel === 1 ? 'green' : 'blue',
    share: s.length / cell.length,
    halfRange: 0.5 * Math.log2(Math.max(quantile(s, 0.9), 1e-6) / Math.max(quantile(s, 0.1), 1e-6)),
    sides: sides.filter((n, i) => n > 0.15 * (i < 2 ? width : height)).length,
    roughness: steps === 0 ? 1 : step / steps / mean,
    chroma: [(px + 0.5) / CELLS, (py + 0.5) / CELLS],
  }
}
