/**
 * How long a plate's shutter was open, by how far it smeared what moved.
 *
 *   θ = 360 · L / v      C(L) = −Σ g(f)² · P(f)/E(f) · cos(2π·u·L), largest at the streak's length
 *
 *   L   length of the streak, px              v  motion, px a frame
 *   P   power of the picture at (fx, fy)      u  part of the frequency along the motion
 *   E   a sharp scene's, |f|^−p / u²          g  E / (E + noise)
 *
 * A streak leaves sin²(πLu)/(πLu)² of a scene's power: over E that is ½·(1 − cos 2πLu), whose beat has its length. The taper's lobe
 * evens out a beat by the taper's own correlation at that length, R(t) = (1 − t)·(2 + cos 2πt)/3 + sin(2πt)/2π of t = L over the part's
 * side ([harris1978]'s window), by which it is divided: a short beat of a wide part must stand out more. Scenes fall by
 * about the power 2.4 of the frequency ([tolhurst1992]); what is left of that is slow, and is taken out; the fine detail, where noise is above them, counts for nothing. Found in
 * parts of the picture, and left out one by one for the spread ([efron1982]).
 *
 * Source: the sinc of a straight streak [potmesil1983]; the beat's peak as [yitzhaky1997] has it of the derivative's correlation.
 */
import type { Reading, Region } from '../../../core/index.js'
import { powerOfTwo, tapered, type Window } from '../../../kernels/index.js'

/** Motion between two frames, px, and its standard deviation along its way. */
export interface Moving {
  readonly x: number
  readonly y: number
  readonly spread: number
}

/** A streak shorter than this is not told from the softness of a lens, px. */
const SHORTEST = 10
/** A part must be so many times as long as the streak. */
const LENGTHS = 2.5
const FALL = 2.4
/** Parts along each side; they overlap by half. */
const PARTS = 3
const STEP = 0.125
/** The beat must stand so far above the next one, as a share of itself. */
const CLEAR = 0.04
/** And as strong as this share of what a streak alone would make: below, a scene's own lengths do as well. */
const FAINT = 0.3
/** Overlapping parts are not independent, and a scene has lengths of its own: choices, which the round trips hold to. */
const INFLATED = 1.45
const MODEL_PX = 0.15

/**
 * @param picture linear luminance of a part of the frame that moves as one
 * @param region that part; `frame` counts from the file's first
 */
export function measureAngle(
  picture: Window,
  moving: Moving,
  frame: number,
  region: Region,
): Reading<number> {
  const v = Math.hypot(moving.x, moving.y)
  if (v < SHORTEST)
    return { cannotTell: `it moves by ${v.toFixed(1)} px a frame: too slow for a streak to show` }
  const way = [moving.x / v, moving.y / v] as const
  const longest = Math.min(v, heldLength(picture, moving))
  if (longest < SHORTEST) return { cannotTell: 'the part that moves is too small to hold a streak' }
  const beats = partsOf(picture).map((part) => strengths(new Beat(part, way), longest))
  const whole = peakOf(beats)
  if (!whole?.standsOut) return { cannotTell: 'no streak stands out in what moves' }
  const { length } = whole
  if (length > longest - 2 * STEP && longest < v)
    return { cannotTell: `the streak is as long as the part tells, ${longest.toFixed(0)} px or more` }
  const without = beats.map((_, i) => peakOf(beats.toSpliced(i, 1))?.length ?? 0)
  const mean = without.reduce((a, b) => a + b) / without.length
  const n = without.length
  const jackknife = Math.sqrt(((n - 1) / n) * without.reduce((a, l) => a + (l - mean) ** 2, 0))
  const px = Math.hypot(INFLATED * jackknife, MODEL_PX)
  if (px > length / 6)
    return {
      cannotTell: `the streak may be ${Math.max(length - 2 * px, 0).toFixed(0)} to ${(length + 2 * px).toFixed(0)} px long`,
    }
  const angle = (360 * length) / v
  const spread = angle * Math.hypot(px / length, moving.spread / v)
  return {
    value: Math.min(angle, 360),
    evidence: {
      ...{ kind: 'measured', frames: [frame, frame + 1], region, spread, confidence: 0.8 },
      method: 'length of the streak by the beat of its spectrum, against the motion from frame to frame',
    },
  }
}

/** The longest streak that a picture can tell, px: its parts are half as long, and hold it several times. */
export function heldLength({ width, height }: Pick<Window, 'width' | 'height'>, { x, y }: Moving): number {
  const v = Math.hypot(x, y)
  const extent = Math.min(
    (width * v) / Math.max(Math.abs(x), 1e-9),
    (height * v) / Math.max(Math.abs(y), 1e-9),
  )
  return extent / 2 / LENGTHS
}

function partsOf({ width, height, values }: Window): Window[] {
  const [w, h] = [Math.floor((2 * width) / (PARTS + 1)), Math.floor((2 * height) / (PARTS + 1))]
  return Array.from({ length: PARTS ** 2 }, (_, k) => {
    const [x, y] = [((k % PARTS) * w) >> 1, (Math.floor(k / PARTS) * h) >> 1]
    const part = Float64Array.from({ length: w * h }, (_, p) => {
      return values[(y + Math.floor(p / w)) * width + x + (p % w)] as number
    })
    return { width: w, height: h, values: part }
  })
}

/** Bins of the frequency along the motion, from 0 to 1 cycle a pixel. */
const BINS = 2048
/** Below so many steps of the taper a scene's mean and its slow light hide the beat. */
const FIRST = 2.5

/** One part's power over that of a sharp scene, by the frequency along the motion. */
class Beat {
  readonly #beat: Float64Array
  /** What it would be of a beat from nothing to twice the mean. */
  readonly full: number

  /** Share of a beat of some length that the taper leaves. */
  readonly left: (length: number) => number

  constructor(part: Window, [dx, dy]: readonly [number, number]) {
    this.left = (length) =>
      correlated((length * Math.abs(dx)) / part.width) * correlated((length * Math.abs(dy)) / part.height)
    const [across, down] = [powerOfTwo(part.width), powerOfTwo(part.height)]
    const power = tapered(part, across, down)
    const least = FIRST / Math.min(part.width, part.height)
    const cells: { u: number; p: number; e: number }[] = []
    const fine: number[] = []
    for (let j = 0; j < down; j++) {
      const fy = (j < down / 2 ? j : j - down) / down
      for (let i = 0; i <= across / 2; i++) {
        const fx = i / across
        const f = Math.hypot(fx, fy)
        if (f > 0.5 || f < least) continue
        const u = Math.abs(fx * dx + fy * dy)
        const p = power[j * across + i] as number
        if (f > 0.42) fine.push(p)
        if (u > least) cells.push({ u, p, e: f ** -FALL / (u * u) })
      }
    }
    const [share, weight] = [new Float64Array(BINS), new Float64Array(BINS)]
    // A median of exponentials is ln 2 of their mean.
    const noise = (fine.sort((a, b) => a - b)[fine.length >> 1] ?? 0) / Math.LN2
    // How strong the scene is, where it is well above the noise: the mean of ½·(1 − cos) is a half.
    const strong = cells.filter((c) => c.p > 4 * noise && c.u < 0.2)
    const level = (2 * strong.reduce((a, c) => a + Math.min(c.p / c.e, 1e9), 0)) / Math.max(strong.length, 1)
    for (const { u, p, e } of cells) {
      const scene = 0.5 * level * e
      const g = scene / (scene + noise)
      const bin = Math.round(u * BINS)
      weight[bin] = (weight[bin] as number) + g * g
      share[bin] = (share[bin] as number) + g * g * Math.min(p / scene, 8)
    }
    this.#beat = beatOf(share, weight)
    this.full = weight.reduce((a, b) => a + b) / 2
  }

  at(length: number): number {
    let sum = 0
    for (let k = 0; k < BINS; k++)
      sum -= (this.#beat[k] as number) * Math.cos((2 * Math.PI * k * length) / BINS)
    return sum
  }
}

/** Of a raised cosine with itself, moved by a share of its length. */
function correlated(t: number): number {
  const turn = 2 * Math.PI * Math.min(t, 1)
  return ((1 - Math.min(t, 1)) * (2 + Math.cos(turn))) / 3 + Math.sin(turn) / (2 * Math.PI)
}

/** Cycles a pixel over which a scene's own share of the power changes: slower than the beat of a streak that is told. */
const SLOW = 0.04

/** What is above or below the mean around it, as a share of that. */
function beatOf(share: Float64Array, weight: Float64Array): Float64Array {
  const sd = SLOW * BINS
  const near = Math.ceil(2.5 * sd)
  const bell = Float64Array.from({ length: near + 1 }, (_, k) => Math.exp(-0.5 * (k / sd) ** 2))
  return share.map((own, k) => {
    const w = weight[k] as number
    if (w === 0) return 0
    let [sum, whole] = [0, 0]
    for (let i = Math.max(k - near, 0); i <= Math.min(k + near, BINS - 1); i++) {
      const by = bell[Math.abs(i - k)] as number
      sum += by * (share[i] as number)
      whole += by * (weight[i] as number)
    }
    return sum > 0 ? (own * whole) / sum - w : 0
  })
}

/** How strong a part's beat is at each length from the shortest on, and how strong it could be. */
interface Strengths {
  readonly of: Float64Array
  readonly full: number
}

function strengths(beat: Beat, longest: number): Strengths {
  const count = Math.floor((longest + 2 - SHORTEST) / STEP) + 1
  const of = Float64Array.from({ length: count }, (_, i) => {
    const length = SHORTEST + i * STEP
    return beat.at(length) / beat.left(length)
  })
  return { of, full: beat.full }
}

/** Length at which the beat is strongest, px, and whether it stands out: no other one is nearly as strong, and it is not faint. */
function peakOf(
  beats: readonly Strengths[],
): { readonly length: number; readonly standsOut: boolean } | undefined {
  const sums = (beats[0] as Strengths).of.map((_, i) => beats.reduce((a, b) => a + (b.of[i] as number), 0))
  const peaks = [...sums.subarray(1, -1)].flatMap((s, i) =>
    s > 0 && s > (sums[i] as number) && s >= (sums[i + 2] as number) ? [i + 1] : [],
  )
  peaks.sort((a, b) => (sums[b] as number) - (sums[a] as number))
  const [best, next] = peaks
  if (best === undefined) return undefined
  const [y, other] = [sums[best] as number, next === undefined ? 0 : (sums[next] as number)]
  const full = beats.reduce((sum, b) => sum + b.full, 0)
  const [a, c] = [sums[best - 1] as number, sums[best + 1] as number]
  return {
    length: SHORTEST + best * STEP + (STEP * 0.5 * (a - c)) / (a - 2 * y + c || 1),
    standsOut: y - other >= CLEAR * y && y >= FAINT * full,
  }
}
