/**
 * Where a plate's own highlights and blacks end, per channel.
 *
 *   clip   the level at which the brightest pixels pile up:   n(above 0.985 of it) ≥ 1.5 · n(0.94 to 0.985 of it), in code values
 *   floor  the level below which one pixel in two thousand lies     n(within 1/60 above it) ≥ 1.5 · n(the next 1/60)
 *
 * A scene's own highlights thin out toward the brightest; what a sensor or a curve has cut stands at one level. The pile must hold flat
 * places (four neighbours within a hundredth), for a bright wall is grainy and one that is full is not. Channels are judged each for
 * itself where most pixels of the pile are in it; one that never fills ends nowhere. Likewise a floor: the darkest shade of a hazy place
 * thins out, and is no end of the sensor; a thousandth of the picture and more must stand there. Choices, but [emva1288] for what saturation is.
 */
import { type FloatImage, quantile, type Reading, type Rgb } from '../../../core/index.js'

export interface LimitSample {
  readonly frame: number
  /** Code values, 0 to 1. */
  readonly code: FloatImage
}

const BINS = 1024
/** Codes above 1 are counted too. */
const SPAN = 1.25
const PILE = 0.985
const BELOW = 0.94
const RATIO = 1.5
/** Of all pixels. */
const LEAST_SHARE = 5e-5
const LEAST_PIXELS = 150
const FLAT = 0.01
const FLAT_SHARE = 0.5
const FLOOR_SHARE = 5e-4
const NEAR_FLOOR = 1 / 60
const DARK_SHARE = 1e-3
const STEP = 2

/** Code values; a channel that ends nowhere is Infinity. */
export function measureClip(samples: readonly LimitSample[]): Reading<Rgb> {
  const ends = ([0, 1, 2] as const).map((c) => endOf(samples, c))
  if (ends.every((v) => v === undefined))
    return { cannotTell: 'nothing in the plate is clipped: its highlights thin out' }
  const [r, g, b] = ends.map((v) => v ?? Number.POSITIVE_INFINITY) as [number, number, number]
  return {
    value: [r, g, b],
    evidence: {
      kind: 'measured',
      frames: samples.map((s) => s.frame),
      method: 'level at which highlights pile up, flat and without grain, in each channel',
      spread: SPAN / BINS,
      confidence: 0.8,
    },
  }
}

function endOf(samples: readonly LimitSample[], c: 0 | 1 | 2): number | undefined {
  const counts = new Float64Array(BINS)
  let all = 0
  for (const { code } of samples) {
    for (let i = c; i < code.data.length; i += 4) {
      const bin = Math.floor(((code.data[i] as number) / SPAN) * BINS)
      if (bin >= 0) counts[Math.min(bin, BINS - 1)] = (counts[Math.min(bin, BINS - 1)] as number) + 1
      all++
    }
  }
  const least = Math.max(LEAST_PIXELS, LEAST_SHARE * all)
  // From the top down to where enough pixels stand: a codec's ringing goes beyond.
  let sum = 0
  let top = BINS - 1
  for (; top > 0 && sum < least / 10; top--) sum += counts[top] as number
  const brightest = ((top + 1) / BINS) * SPAN
  const between = (from: number, to: number) => {
    let n = 0
    for (let k = Math.floor((from / SPAN) * BINS); k < Math.min((to / SPAN) * BINS, BINS); k++)
      n += counts[k] as number
    return n
  }
  const pile = between(PILE * brightest, SPAN)
  if (pile < least || pile < RATIO * between(BELOW * brightest, PILE * brightest)) return undefined
  const levels: number[] = []
  let flat = 0
  for (const { code } of samples) {
    const { width, height } = code.region
    for (let y = 1; y < height - 1; y += STEP) {
      for (let x = 1; x < width - 1; x += STEP) {
        const i = 4 * (y * width + x) + c
        const v = code.data[i] as number
        if (v < PILE * brightest) continue
        levels.push(v)
        const near = [i - 4, i + 4, i - 4 * width, i + 4 * width]
        if (near.every((k) => Math.abs((code.data[k] as number) - v) < FLAT)) flat++
      }
    }
  }
  if (flat < FLAT_SHARE * levels.length) return undefined
  return quantile(Float64Array.from(levels).sort(), 0.5)
}

/** Code values. */
export function measureFloor(samples: readonly LimitSample[]): Reading<Rgb> {
  const floors = ([0, 1, 2] as const).map((c) => {
    const values = samples.flatMap(({ code }) => {
      const own: number[] = []
      for (let i = c; i < code.data.length; i += 4 * 7) own.push(code.data[i] as number)
      return own
    })
    const sorted = Float64Array.from(values).sort()
    const floor = quantile(sorted, FLOOR_SHARE)
    const below = (level: number) => {
      const k = sorted.findIndex((v) => v > level)
      return k < 0 ? sorted.length : k
    }
    const [near, next] = [below(floor + NEAR_FLOOR), below(floor + 2 * NEAR_FLOOR)]
    const much = near >= (FLOOR_SHARE + DARK_SHARE) * sorted.length
    return much && near >= RATIO * (next - near) ? floor : undefined
  })
  if (floors.some((v) => v === undefined))
    return { cannotTell: 'nothing in the plate is crushed: its blacks thin out' }
  return {
    value: floors as [number, number, number],
    evidence: {
      kind: 'measured',
      frames: samples.map((s) => s.frame),
      method: 'level below which one pixel in two thousand lies, in each channel',
      spread: 0.5 / 255,
      confidence: 0.6,
    },
  }
}
