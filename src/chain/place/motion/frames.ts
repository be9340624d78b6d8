/**
 * The motion of each frame against the reference frame (so nothing adds up from frame to frame), with what the frames around it say:
 *
 *   1. outwards from the reference: the motion that most points follow (fit/robust.ts), predicted by the frame before, its slant held to
 *      that frame's as far as it is known (fit/slant.ts). Half of what the points say must agree, and twice as many points as the motion
 *      needs, where there are so many at all: fewer agree by chance
 *   2. s²: how much larger than their spreads the points' errors are, over the shot; the spreads are put right by it
 *   3. q, how far the slant walks in a frame: of steps between 1/32 and 256 px the one under which the points surprise least; over a cut
 *      it is free
 *   4. outwards and inwards again by this q; then each frame once more, with what both sides say of it
 *
 * Spread² = s² · mean variance of the outline's places as they are carried; s² is the shot's and what the frame's own points say of it,
 * weighed against the shot's as ten degrees of freedom.
 *
 * Source: [anderson1979 §7.3] (what both sides say: a smoother of two filters), [gelman2013 §2.6] (weighing of variances).
 */
import { astrayOutwards } from './astray.js'
import { WIDEST_PX } from './bridge.js'
import { fitMotion, type Lens } from './fit/fit.js'
import type { Model } from './fit/models.js'
import { countOf, ownCount, type Pairs } from './fit/pairs.js'
import { type RobustFit, robustMotion } from './fit/robust.js'
import { carriedOver, type Placed, placedBy, placedStill, slants, squareAbout } from './fit/slant.js'
import type { Known } from './known.js'
import { IDENTITY, type Matrix3, type Place } from './matrix.js'
import type { Astray } from './seen.js'
import { stretched } from './stretch.js'
import { unevenOutwards } from './uneven.js'

export interface Found {
  readonly known: readonly (Known | undefined)[]
  readonly agree: readonly number[]
  readonly seen: readonly number[]
}

export interface About {
  readonly places: readonly Place[]
  readonly outline: readonly Place[]
  /** Its index among the frames. */
  readonly reference: number
  /** Indices of frames with which another picture begins. */
  readonly cuts: ReadonlySet<number>
  readonly lens: Lens | undefined
  readonly astray: ReadonlyMap<number, Astray>
  /** How far parts of a whole picture go otherwise, along an axis: mean squares, px². */
  readonly uneven: ReadonlyMap<number, number>
}

/** Degrees of freedom that the shot's own errors count as, on a single frame. */
const SHOT_COUNTS = 10
/** How far a slant may walk in a frame, px at the corners of the square about the points' places. */
const WALKS = [1 / 32, 1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2, 4, 8, 16, 32, 64, 128, 256]
/** As long as it is not known. */
const WALK = 1

type Fits = readonly (RobustFit | undefined)[]

export function fitted(model: Model, frames: readonly Pairs[], about: About): Found {
  const { outline, reference } = about
  const rough = robustly(model, frames, about)
  const shot = errorsOf(rough)
  const fits = slants(model) ? settled(model, scaled(frames, rough, shot), rough, about) : rough
  const usual = slants(model) ? errorsOf(fits) : shot
  const uneven = unevenOutwards(about.uneven, frames.length, reference)
  const own = fits.map((fit, i) => {
    if (fit === undefined) return 0
    const mean = sum(outline.map(([x, y]) => fit.varianceAt(x, y))) / outline.length
    const beyond = slants(model) ? 0 : stretched(frames[i] as Pairs, fit.agrees, fit.rmsPx, outline)
    return weighed(usual, fit.chi2, fit.degrees) * mean + beyond + (uneven[i] as number)
  })
  const rms = fits.map((fit) => fit?.rmsPx)
  const astray = astrayOutwards(own, rms, about.astray, reference)
  return {
    known: fits.map((fit, i): Known | undefined => {
      if (i === reference) return { state: 'tracked', matrix: IDENTITY, variance: 0 }
      if (fit === undefined) return undefined
      const [variance, apart] = [own[i] as number, astray[i] as number]
      const lost = apart > WIDEST_PX ** 2
      return { state: lost ? 'lost' : 'tracked', matrix: fit.matrix, variance: Math.max(variance, apart) }
    }),
    agree: fits.map((fit, i) => (fit ? sum(fit.agrees) : i === reference ? countOf(frames[i] as Pairs) : 0)),
    seen: frames.map((p) => p.weight.length),
  }
}

function robustly(model: Model, frames: readonly Pairs[], { places, reference, cuts, lens }: About): Fits {
  const fits = new Array<RobustFit | undefined>(frames.length).fill(undefined)
  const corners = squareAbout(places)
  for (const way of [1, -1]) {
    let [predicted, placed, known]: [Matrix3, Placed, number] = [IDENTITY, placedStill(corners), reference]
    for (let i = reference + way; i >= 0 && i < frames.length; i += way) {
      const pairs = frames[i] as Pairs
      const walk = WALK ** 2 * Math.abs(i - known)
      const fit = robustMotion(model, pairs, predicted, i, lens, (guess) =>
        slants(model) && !cutBetween(cuts, known, i) ? present(carriedOver(placed, guess, walk)) : [],
      )
      if (fit === undefined || !believed(fit, model, pairs, places)) continue
      fits[i] = fit
      ;[predicted, placed, known] = [fit.matrix, placedBy(fit, corners), i]
    }
  }
  return fits
}

function believed({ agrees }: RobustFit, model: Model, pairs: Pairs, places: readonly Place[]): boolean {
  const most = 2 * ownCount(going(pairs, agrees)) >= ownCount(pairs)
  return most && sum(agrees) >= Math.min(model.free, places.length / 2)
}

/** Those that agree. */
function going(pairs: Pairs, agrees: Uint8Array): Pairs {
  return { ...pairs, weight: pairs.weight.map((w, k) => w * (agrees[k] as number)) }
}

/** Each frame with what both sides say of its slant. */
function settled(model: Model, frames: readonly Pairs[], rough: Fits, about: About): Fits {
  const { places, reference, cuts, lens } = about
  const still = placedStill(squareAbout(places))
  const sides = [1, -1].map((way) => {
    const side: number[] = []
    for (let i = reference + way; i >= 0 && i < frames.length; i += way) if (rough[i]) side.push(i)
    return side
  })
  const says = (placed: ReadonlyMap<number, Placed>, from: number | undefined, i: number, walk: number) => {
    const there = from === undefined || cutBetween(cuts, from, i) ? undefined : placed.get(from)
    const matrix = (rough[i] as RobustFit).matrix
    return there ? present(carriedOver(there, matrix, walk ** 2 * Math.abs(i - (from as number)))) : []
  }
  /** What the points of each frame and of those before it on this way say. */
  const filtered = (way: readonly number[], walk: number) => {
    const placed = new Map([[reference, still]])
    let [last, surprise]: [number | undefined, number] = [way[0] === reference ? reference : undefined, 0]
    for (const i of way) {
      const { agrees } = rough[i] ?? {}
      if (agrees === undefined) continue
      const pairs = frames[i] as Pairs
      const fit = fitMotion(model, going(pairs, agrees), lens, says(placed, last, i, walk))
      if (fit === undefined) continue
      placed.set(i, placedBy(fit, still.corners))
      surprise += fit.surprise
      last = i
    }
    return { placed, surprise }
  }
  const outwards = sides.map((side) => [reference, ...side])
  const surprises = WALKS.map((walk) => sum(outwards.map((way) => filtered(way, walk).surprise)))
  const walk = WALKS[surprises.indexOf(Math.min(...surprises))] as number
  const fits = [...rough]
  for (const way of outwards) {
    const [before, after] = [filtered(way, walk).placed, filtered(way.slice(1).reverse(), walk).placed]
    for (const [n, i] of way.entries()) {
      if (i === reference) continue
      const near = way.slice(0, n).findLast((k) => before.has(k))
      const far = way.slice(n + 1).find((k) => after.has(k))
      const priors = [...says(before, near, i, walk), ...says(after, far, i, walk)]
      const pairs = frames[i] as Pairs
      const fit = robustMotion(model, pairs, (rough[i] as RobustFit).matrix, i, lens, () => priors)
      fits[i] = fit && believed(fit, model, pairs, places) ? fit : undefined
    }
  }
  return fits
}

/** Whether another picture begins on the way from one frame to another. */
function cutBetween(cuts: ReadonlySet<number>, a: number, b: number): boolean {
  return [...cuts].some((c) => c > Math.min(a, b) && c <= Math.max(a, b))
}

const present = <T>(v: T | undefined): T[] => (v === undefined ? [] : [v])

/** Spreads as large as the errors are, on each frame. */
function scaled(frames: readonly Pairs[], fits: Fits, usual: number): Pairs[] {
  return frames.map((pairs, i) => {
    const { chi2, degrees } = fits[i] ?? { chi2: 0, degrees: 0 }
    const s2 = weighed(usual, chi2, degrees)
    return { ...pairs, weight: pairs.weight.map((w) => w / s2) }
  })
}

function errorsOf(fits: Fits): number {
  const good = fits.filter((f) => f !== undefined)
  return weighed(1, sum(good.map((f) => f.chi2)), sum(good.map((f) => f.degrees)))
}

const weighed = (usual: number, chi2: number, degrees: number) =>
  (SHOT_COUNTS * usual + chi2) / (SHOT_COUNTS + degrees)
const sum = (v: Iterable<number>) => {
  let s = 0
  for (const x of v) s += x
  return s
}
