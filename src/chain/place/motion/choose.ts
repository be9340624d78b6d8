/**
 * Which motion the evidence allows: of those that the points' places can show (layout.ts), the one with the least
 *
 *   BIC = Σ_frames ( χ² / s² + k·ln N )
 *
 *   χ²  what the motion leaves of the points that go with the freest one, in their spreads
 *   s²  how much larger than their spreads the points' errors are: what the freest motion leaves, χ² / degrees of freedom, with the
 *       spreads as they are given counting as ten degrees more
 *   k   numbers that the motion has free on a frame        N  numbers seen on it (2 a point)
 *
 * A freer motion is taken only where each of its numbers explains more than ln N. All of them carry places to places, so the criterion
 * for motions of different dimension, GRIC, comes to the same: its further terms are equal for all of them once the wrong points
 * are out. On 60 frames at most, spread over the shot.
 * Source: [schwarz1978]; [torr1998] (GRIC).
 */
import { ln, median } from '../../../core/index.js'
import { fitMotion, type Lens } from './fit/fit.js'
import { type Focal, focalOf } from './fit/focal.js'
import { MODELS, type Model } from './fit/models.js'
import { countOf, type Pairs } from './fit/pairs.js'
import { robustMotion } from './fit/robust.js'
import { layoutOf } from './layout.js'
import { IDENTITY, type Place } from './matrix.js'
import { lensOf, type Seen } from './seen.js'

export interface Choice {
  readonly model: Model
  readonly lens?: Lens
  readonly why: string
}

const MOST_FRAMES = 60
const FOCAL_FRAMES = 15
const AS_GIVEN = 10
/** Errors so many times the points' spreads are said. */
const MUCH = 3
const ORDER = ['translation', 'rotation', 'similarity', 'affine', 'homography'] as const

/** @param frames pairs by frame of the shot  @param places of the points on the reference frame, straight */
export function chosenMotion(seen: Seen, frames: readonly Pairs[], places: readonly Place[]): Choice {
  const known = evenly(
    frames.filter((p) => countOf(p) > 0),
    MOST_FRAMES,
  )
  const spread = median(
    known.flatMap((p) =>
      Array.from(p.weight)
        .filter((w) => w > 0)
        .map((w) => 1 / Math.sqrt(w)),
    ),
  )
  const layout = layoutOf(places, spread)
  const freest = freestOn(known, ORDER.indexOf(layout.freest))
  const agreeing = known.map((pairs, i) => agreed(MODELS[freest.name], pairs, i))
  const focal = seen.lens && ORDER.indexOf(freest.name) > 1 ? focalFor(seen, agreeing) : undefined
  const lens = focal && lensOf(seen, focal.focalPx)
  const tried = ORDER.slice(0, ORDER.indexOf(freest.name) + 1).flatMap((name) => {
    const score = scored(MODELS[name], agreeing, lens)
    return score ? [score] : []
  })
  const last = tried.at(-1) as Score
  const s2 = (AS_GIVEN + last.chi2) / (AS_GIVEN + last.degrees)
  const bic = (s: Score) => s.chi2 / s2 + s.price
  const best = tried.reduce((a, b) => (bic(b) < bic(a) ? b : a))
  const limit = freest.dropped ?? (best === last ? layout.because : undefined)
  return {
    model: best.model,
    ...(best.model.name === 'rotation' && lens ? { lens } : {}),
    why: words(tried, best, s2, agreeing.length, limit),
  }
}

interface Score {
  readonly model: Model
  readonly chi2: number
  readonly degrees: number
  readonly price: number
  readonly rmsPx: number
}

function scored(model: Model, frames: readonly Pairs[], lens?: Lens): Score | undefined {
  let [chi2, degrees, price, squares, count] = [0, 0, 0, 0, 0]
  for (const pairs of frames) {
    const fit = fitMotion(model, pairs, lens)
    if (fit === undefined) return undefined
    chi2 += fit.chi2
    degrees += fit.degrees
    price += model.free * ln(2 * countOf(pairs))
    squares += fit.rmsPx * fit.rmsPx
    count++
  }
  return { model, chi2, degrees, price, rmsPx: Math.sqrt(squares / count) }
}

/** The freest motion, at most the one at `from`, that the points settle on half of the frames and more. Frames where they do not are left out. */
function freestOn(known: Pairs[], from: number): { name: Model['name']; dropped?: string } {
  for (let i = from; i > 0; i--) {
    const name = ORDER[i] as Model['name']
    if (name === 'rotation') continue
    const settled = known.filter((pairs) => fitMotion(MODELS[name], pairs) !== undefined)
    if (2 * settled.length >= known.length && settled.length > 0) {
      known.splice(0, known.length, ...settled)
      return i === from
        ? { name }
        : {
            name,
            dropped: 'on most frames too few points are seen, or they lie on a line, for a freer motion',
          }
    }
  }
  return { name: 'translation', ...(from > 0 ? { dropped: 'on most frames one point alone is seen' } : {}) }
}

/** The pairs of a frame that most of them agree with. */
export function agreed(model: Model, pairs: Pairs, seed: number): Pairs {
  const fit = robustMotion(model, pairs, IDENTITY, seed)
  return fit ? { ...pairs, weight: pairs.weight.map((w, k) => w * (fit.agrees[k] as number)) } : pairs
}

/** The focal length of the document, or the one that the points tell. */
export function focalFor(seen: Seen, agreeing: readonly Pairs[]): Focal | undefined {
  if (seen.lens?.focalPx !== undefined) return { focalPx: seen.lens.focalPx, spread: 0 }
  const found = seen.lens && focalOf(evenly(agreeing, FOCAL_FRAMES), seen.lens.middle)
  return found && 'focalPx' in found ? found : undefined
}

function evenly<T>(list: readonly T[], most: number): T[] {
  if (list.length <= most) return [...list]
  return Array.from({ length: most }, (_, i) => list[Math.round((i * (list.length - 1)) / (most - 1))] as T)
}

function words(tried: readonly Score[], best: Score, s2: number, frames: number, limit?: string): string {
  const px = (v: number) => `${v < 0.001 ? '0.00' : Number(v.toPrecision(2))} px`
  const at = tried.indexOf(best)
  const [stiffer, freer] = [tried[at - 1], tried[at + 1]]
  const parts = [
    best.degrees === 0
      ? 'it has as many numbers as the places give, so nothing is left to check it by; more places would'
      : `it leaves ${px(best.rmsPx)} on ${frames === 1 ? 'the frame that was' : `the ${frames} frames that were`} tried`,
  ]
  if (stiffer) parts.push(`${stiffer.model.name} leaves ${px(stiffer.rmsPx)}`)
  if (freer) parts.push(`${freer.model.name} leaves ${px(freer.rmsPx)}, which its further freedom explains`)
  else if (limit) parts.push(limit)
  const much = Math.sqrt(s2)
  if (much > MUCH)
    parts.push(
      `the points' errors are ${Number(much.toPrecision(2))} times their spreads: the surface may bend, or lie at several distances`,
    )
  return parts.join('; ')
}
