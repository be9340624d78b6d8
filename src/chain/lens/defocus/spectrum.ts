/**
 * The blur of a part of a picture from its spectrum, held against that of a sharp scene blurred by each radius (`kernels/spectrum`).
 *
 * A disc leaves rings at which nothing is left, J₁(2πrf) = 0, the first at f = 0.61 / r: they tell the radius even where no single
 * edge stands free.
 *
 *   spread² = the search's own + (0.004 r)² + 0.012²
 *
 * The last two are what the model leaves out (the scene's own softness): choices, which the round trips hold to. Disc or Gaussian is
 * decided where one is e³ times as likely. Source: [whittle1953], [goodman2005 §6.4].
 */
import {
  type BlurFamily,
  likeliestSize,
  likelihoodNear,
  polarSpectrum,
  SpectrumLikelihood,
  type Window,
} from '../../../kernels/index.js'
import { type Shape, transferOf } from './transfer.js'

export interface SpectrumBlur {
  readonly radius: number
  readonly spread: number
  readonly shape: Shape | undefined
}

/** px */
const SMALLEST = 0.3
const LARGEST = 26
/** A disc of radius r spreads as a Gaussian of σ = r / 2: the same variance along each axis. */
const SIGMA = 0.5
const DISCS: BlurFamily = { name: 'disc', of: (r) => transferOf('disc', r) }
const GAUSSIANS: BlurFamily = { name: 'gaussian', of: (r) => transferOf('gaussian', SIGMA * r) }
/** A window must be so many times as long as the blur is wide, to hold its rings. */
const LENGTHS = 4
/** Rings of the spectrum above the noise, at least: below, there is no detail to be blurred. */
const LEAST_TOLD = 4
const MODEL_SHARE = 0.004
const MODEL_PX = 0.012
/** A best one so near to the end of what was tried is no best one. */
const AT_END = 1.04
const DECIDED = 3
/** Photographs scatter by 1 to 2; stripes and grids, whose spectrum is no scene's, by 40. */
const MOST_SCATTER = 4

/** @param among radii that are possible, px; the window's shorter side is 48 px at least */
export function spectrumBlur(
  window: Window,
  among?: readonly [number, number],
): SpectrumBlur | { readonly cannotTell: string } {
  const short = Math.min(window.width, window.height)
  const [from, to] = [Math.max(among?.[0] ?? 0, SMALLEST), Math.min(among?.[1] ?? LARGEST, LARGEST)]
  const likelihood = new SpectrumLikelihood(polarSpectrum(window))
  const disc = likeliestSize(likelihood, DISCS, from, to)
  if (disc.told < LEAST_TOLD) return { cannotTell: 'there is no detail that stands above the noise' }
  if (disc.scatter > MOST_SCATTER)
    return { cannotTell: 'its pattern is too regular for its spectrum to be told from a blur' }
  const most = Math.min(0.95 * LARGEST, short / LENGTHS / 2)
  if (disc.best > most)
    return {
      cannotTell: `it is blurred by ${most.toFixed(0)} px or more, as far as a part of this size tells`,
    }
  if (among !== undefined && (disc.best < from * AT_END || disc.best > to / AT_END))
    return { cannotTell: 'its spectrum says nothing of the radii that are possible' }
  const spread = Math.hypot(disc.spread, MODEL_SHARE * disc.size, MODEL_PX)
  const ahead = (disc.logLikelihood - likelihoodNear(likelihood, GAUSSIANS, disc)) / disc.scatter
  const shape = ahead > DECIDED ? 'disc' : ahead < -DECIDED ? 'gaussian' : undefined
  return { radius: disc.size, spread, shape }
}
