/**
 * How much the lens blurred a part of the plate, and into which shape.
 *
 * The spectrum of what lies there is held against that of a sharp scene blurred by each radius (`likelihood.ts`). A disc leaves rings at
 * which nothing is left, J₁(2πrf) = 0, the first at f = 0.61 / r: they tell the radius even where no single edge stands free.
 *
 *   r = Σ r · L(r)^(1/scatter) / Σ L(r)^(1/scatter)      over r = 0.3 … 26 px, steps of 6 % and finer around the best
 *   spread² = variance of the same + (0.015 r)² + 0.05²
 *
 * The last two are what the model leaves out (the scene's own softness, the weights' lattice): choices, which the round trips hold to.
 * Disc or Gaussian is decided where one is e³ times as likely. Source: [whittle1953], [goodman2005 §6.4].
 */
import type { Reading, Region } from '../../../core/index.js'
import { polarSpectrum, type Window } from '../../../kernels/index.js'
import { type Fitted, SpectrumLikelihood } from './likelihood.js'
import { type Shape, transferOf } from './transfer.js'

export interface Blur {
  /** Radius of the disc that blurs as much, px. */
  readonly radius: number
  /** Undefined where both explain it as well. */
  readonly shape: Shape | undefined
}

/** Shorter side of a window, px, at least. */
export const LEAST_WINDOW = 48
/** px */
const SMALLEST = 0.3
const LARGEST = 26
const STEP = 1.06
const FINER = 8
/** A disc of radius r spreads as a Gaussian of σ = r / 2: the same variance along each axis. */
const SIGMA = 0.5
/** A window must be so many times as long as the blur is wide, to hold its rings. */
const LENGTHS = 4
/** Rings of the spectrum above the noise, at least: below, there is no detail to be blurred. */
const LEAST_TOLD = 4
const MODEL_SHARE = 0.015
const MODEL_PX = 0.05
/** A reading that is wider than this share of itself and this many px tells nothing. */
const WIDEST_SHARE = 0.25
const WIDEST_PX = 0.5
const DECIDED = 3

/**
 * @param window linear luminance of one part of one frame
 * @param region that part, in plate pixels; `frame` counts from the file's first
 */
export function measureBlur(window: Window, frame: number, region: Region): Reading<Blur> {
  const short = Math.min(window.width, window.height)
  if (short < LEAST_WINDOW)
    return {
      cannotTell: `the part is ${window.width}×${window.height} px; a blur needs ${LEAST_WINDOW} px at least to show`,
    }
  const likelihood = new SpectrumLikelihood(polarSpectrum(window))
  const most = Math.min(LARGEST / STEP, short / LENGTHS / 2)
  const discs = profile(likelihood, 'disc')
  const best = likeliest(discs)
  if (best.told < LEAST_TOLD) return { cannotTell: 'there is no detail that stands above the noise' }
  const scatter = Math.max(best.scatter, 1)
  const { mean, variance } = moments(discs, best.logLikelihood, scatter)
  const spread = Math.sqrt(variance + (MODEL_SHARE * mean) ** 2 + MODEL_PX ** 2)
  if (best.size > most)
    return {
      cannotTell: `it is blurred by ${most.toFixed(0)} px or more, as far as a part of this size tells`,
    }
  if (spread > WIDEST_SHARE * mean + WIDEST_PX)
    return {
      cannotTell: `it may be blurred by ${Math.max(mean - 2 * spread, 0).toFixed(1)} to ${(mean + 2 * spread).toFixed(1)} px`,
    }
  const gaussian = likeliest(profile(likelihood, 'gaussian'))
  const ahead = (best.logLikelihood - gaussian.logLikelihood) / scatter
  const shape = ahead > DECIDED ? 'disc' : ahead < -DECIDED ? 'gaussian' : undefined
  return {
    value: { radius: mean, shape },
    evidence: {
      ...{ kind: 'measured', frames: [frame], region, spread },
      method: 'rings and fall of the spectrum against a sharp scene blurred by each radius',
      confidence: 0.8,
    },
  }
}

interface Tried extends Fitted {
  /** Of the disc of the same variance, px. */
  readonly size: number
}

/** Blurs from none to the largest, then finer around the likeliest. */
function profile(likelihood: SpectrumLikelihood, shape: Shape): Tried[] {
  let from: Float64Array | undefined
  const tried = (size: number): Tried => {
    const fitted = likelihood.under(transferOf(shape, shape === 'disc' ? size : SIGMA * size), from)
    from = fitted.unknowns
    return { ...fitted, size }
  }
  const coarse: Tried[] = []
  for (let size = SMALLEST; size < LARGEST; size *= STEP) coarse.push(tried(size))
  const best = likeliest(coarse)
  from = best.unknowns
  const fine = Array.from({ length: 2 * FINER - 1 }, (_, i) => best.size * STEP ** ((i + 1) / FINER - 1))
  return [...coarse, ...fine.filter((s) => s !== best.size).map(tried)].toSorted((a, b) => a.size - b.size)
}

function likeliest(tried: readonly Tried[]): Tried {
  return tried.reduce((a, b) => (b.logLikelihood > a.logLikelihood ? b : a))
}

/** Of the radius, every stretch of it as likely beforehand on a logarithmic scale. */
function moments(tried: readonly Tried[], best: number, scatter: number): { mean: number; variance: number } {
  let [whole, first, second] = [0, 0, 0]
  tried.forEach(({ size, logLikelihood }, i) => {
    const [before, after] = [tried[i - 1] ?? tried[i], tried[i + 1] ?? tried[i]] as [Tried, Tried]
    const weight = Math.log(after.size / before.size) * Math.exp((logLikelihood - best) / scatter)
    whole += weight
    first += weight * size
    second += weight * size ** 2
  })
  const mean = first / whole
  return { mean, variance: Math.max(second / whole - mean ** 2, 0) }
}
