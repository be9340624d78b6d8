/**
 * How much the lens blurred a part of the plate, and into which shape.
 *
 * The spectrum of what lies there is held against that of a sharp scene blurred by each radius (`kernels/spectrum`). A disc leaves rings
 * at which nothing is left, J₁(2πrf) = 0, the first at f = 0.61 / r: they tell the radius even where no single edge stands free.
 *
 *   spread² = the search's own + (0.004 r)² + 0.012²
 *
 * The last two are what the model leaves out (the scene's own softness): choices, which the round trips hold to. Disc or Gaussian is
 * decided where one is e³ times as likely. Source: [whittle1953], [goodman2005 §6.4].
 */
import type { Reading, Region } from '../../../core/index.js'
import { likeliestSize, polarSpectrum, SpectrumLikelihood, type Window } from '../../../kernels/index.js'
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
/** A disc of radius r spreads as a Gaussian of σ = r / 2: the same variance along each axis. */
const SIGMA = 0.5
/** A window must be so many times as long as the blur is wide, to hold its rings. */
const LENGTHS = 4
/** Rings of the spectrum above the noise, at least: below, there is no detail to be blurred. */
const LEAST_TOLD = 4
const MODEL_SHARE = 0.004
const MODEL_PX = 0.012
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
  const disc = likeliestSize(likelihood, (r) => transferOf('disc', r), SMALLEST, LARGEST)
  if (disc.told < LEAST_TOLD) return { cannotTell: 'there is no detail that stands above the noise' }
  const most = Math.min(0.95 * LARGEST, short / LENGTHS / 2)
  if (disc.best > most)
    return {
      cannotTell: `it is blurred by ${most.toFixed(0)} px or more, as far as a part of this size tells`,
    }
  const { size: radius } = disc
  const spread = Math.hypot(disc.spread, MODEL_SHARE * radius, MODEL_PX)
  if (spread > WIDEST_SHARE * radius + WIDEST_PX) {
    const [low, high] = [Math.max(radius - 2 * spread, 0), radius + 2 * spread]
    return { cannotTell: `it may be blurred by ${low.toFixed(1)} to ${high.toFixed(1)} px` }
  }
  const gaussian = likeliestSize(likelihood, (r) => transferOf('gaussian', SIGMA * r), SMALLEST, LARGEST)
  const ahead = (disc.logLikelihood - gaussian.logLikelihood) / disc.scatter
  const shape = ahead > DECIDED ? 'disc' : ahead < -DECIDED ? 'gaussian' : undefined
  return {
    value: { radius, shape },
    evidence: {
      ...{ kind: 'measured', frames: [frame], region, spread },
      method: 'rings and fall of the spectrum against a sharp scene blurred by each radius',
      confidence: 0.8,
    },
  }
}
