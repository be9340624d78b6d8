/**
 * The blur of a part of a picture from its edges.
 *
 *   r² = Q² − SOFT     Q  the weighted third of all edges' radii, by the height of their step
 *
 * Every edge is fitted at the scale that suits it. Scenes have soft edges of their own, none that are sharper than the lens: so it is
 * not the middle that tells, and of r² a little is the scene's. Edges that are too wide for the coarsest scale count as wider than all.
 * Edges stand a few px apart along the same thing: every LIKE of them count as one.
 *
 *   spread² = (scatter / √(n / LIKE))² + (MODEL r)² + (SCENE / r)²
 *
 * SOFT, MODEL and SCENE are choices which the round trips hold to. Source: [iso12233] for the edge spread of a lens.
 */
import { quantile, sorted } from '../../../../core/index.js'
import { edgePlaces, profileAt, type Window } from '../../../../kernels/index.js'
import type { Shape } from '../transfer.js'
import { fitEdge } from './fit.js'
import { ratiosOf, reblurSize } from './reblur.js'
import { familyOf, halved, SCALES, type Scale, SHARPEST } from './scales.js'

export interface EdgeBlur {
  readonly radius: number
  readonly spread: number
  /** Undefined where both explain the edges as well. */
  readonly shape: Shape | undefined
  readonly edges: number
  /** The same by the other way, of the same edges (`reblur.ts`); infinite where they are softer than it tells. */
  readonly again: { readonly radius: number; readonly spread: number }
}

/** Half the length of an edge that is averaged, px of its scale. */
const ALONG = 4
const MOST_PLACES = 250
/** Residuals of an edge that stands free, as a share of its step. */
const FREE = 0.04
/** Residuals that count as none. */
const LEAST_OFF = 1e-3
const LEAST_EDGES = 8
/** Height of a step, of what lies between the darkest and the brightest fiftieth of the part: less is texture, or what a codec left. */
const LEAST_STEP = 0.1
const LIKE = 4
const WHERE = 0.33
/** To either side of it, and how far these lie apart in a normal distribution, in standard deviations. */
const ASIDE = 0.16
const NORMAL = 0.84
const SOFT = 0.15
const MODEL = 0.06
/** MODEL of the second way. */
const AGAIN = 0.08
const SCENE = 0.12
/** Standard errors, and logarithm of the residuals, by which one shape must explain the edges better. Soft scenes lean to the Gaussian by 0.05 to 0.16. */
const DECIDED = 5
const BETTER = 0.2

type WeightedRadius = Pick<Edge, 'radius' | 'weight'>

interface Edge {
  /** Plate px; Infinity where it is wider than can be told. */
  readonly radius: number
  /** The same by blurring it once more. */
  readonly again: number
  readonly weight: number
  /** Logarithm of the Gaussian's residuals over the disc's. */
  readonly rounder: number
}

/** Too few edges, or too soft ones; `edges` there are. */
export interface EdgesSilent {
  readonly cannotTell: string
  readonly edges: number
}

export function measureEdges(window: Window): EdgeBlur | EdgesSilent {
  const edges = allEdges(window)
  if (edges.length < LEAST_EDGES)
    return {
      cannotTell: `only ${edges.length} edges stand free enough to show how soft they are`,
      edges: edges.length,
    }
  const [fitted, again] = [third(edges.map((e) => e)), third(edges.map((e) => ({ ...e, radius: e.again })))]
  if (fitted.radius === Number.POSITIVE_INFINITY)
    return { cannotTell: 'its edges are softer than a part of this size tells', edges: edges.length }
  const radius = withoutScene(fitted.radius)
  const spread = Math.hypot(fitted.error, MODEL * radius, SCENE / radius)
  const once = withoutScene(again.radius)
  return {
    ...{ radius, spread, shape: shapeOf(edges), edges: edges.length },
    again: { radius: once, spread: Math.hypot(again.error, AGAIN * once, SCENE / once) },
  }
}

/** The radius that tells, and how far scatter leaves it open. */
function third(edges: WeightedRadius[]): { radius: number; error: number } {
  edges.sort((a, b) => a.radius - b.radius)
  const [low, radius, high] = [WHERE - ASIDE, WHERE, WHERE + ASIDE].map((share) =>
    weighted(edges, share),
  ) as [number, number, number]
  return { radius, error: (Math.min(high, 2 * radius) - low) / NORMAL / Math.sqrt(edges.length / LIKE) }
}

function withoutScene(radius: number): number {
  return Math.sqrt(Math.max(radius ** 2 - SOFT, SHARPEST ** 2))
}

function allEdges(window: Window): Edge[] {
  const found: Edge[] = []
  const light = sorted(Array.from(window.values))
  const least = LEAST_STEP * (quantile(light, 0.98) - quantile(light, 0.02))
  let picture = window
  let times = 1
  SCALES.forEach((scale, i) => {
    for (; times < scale.times; times *= 2) picture = halved(picture)
    const border = borderOf(scale)
    if (Math.min(picture.width, picture.height) <= 2 * border) return
    const next = SCALES[i + 1]
    const last =
      next === undefined || Math.min(window.width, window.height) / next.times <= 2 * borderOf(next)
    found.push(...edgesAt(picture, scale, last, least))
  })
  return found
}

function borderOf({ across }: Scale): number {
  return Math.ceil(Math.hypot(across, ALONG)) + 2
}

function edgesAt(picture: Window, scale: Scale, last: boolean, least: number): Edge[] {
  const { times, across, low, high } = scale
  const [discs, gaussians] = [familyOf(scale, 'disc'), familyOf(scale, 'gaussian')]
  const ratios = ratiosOf(across, discs)
  return edgePlaces(picture, borderOf(scale), MOST_PLACES).flatMap((place) => {
    const profile = profileAt(picture, place, across, ALONG)
    const disc = profile && fitEdge(profile, across, discs)
    if (profile === undefined || disc === undefined || disc.off > FREE || disc.step < least) return []
    const radius = disc.size * times
    if (radius < low || (radius > high && !last)) return []
    const gaussian = fitEdge(profile, across, gaussians) ?? disc
    return [
      {
        radius: radius > high ? Number.POSITIVE_INFINITY : radius,
        again: reblurSize(profile, across, ratios) * times,
        weight: disc.step * Math.max(times / 2, 1),
        rounder: Math.log((gaussian.off + LEAST_OFF) / (disc.off + LEAST_OFF)),
      },
    ]
  })
}

/** @param edges ascending */
function weighted(edges: readonly WeightedRadius[], share: number): number {
  const whole = edges.reduce((sum, e) => sum + e.weight, 0)
  let sum = 0
  for (const e of edges) {
    sum += e.weight
    if (sum >= share * whole) return e.radius
  }
  return Number.POSITIVE_INFINITY
}

/** By the edges' ratio of likelihoods: residuals are as good as the shape that was put in. */
function shapeOf(edges: readonly Edge[]): Shape | undefined {
  const logs = edges.filter((e) => e.radius < Number.POSITIVE_INFINITY).map((e) => e.rounder)
  const mean = logs.reduce((a, b) => a + b, 0) / logs.length
  const variance = logs.reduce((a, b) => a + (b - mean) ** 2, 0) / logs.length
  const error = Math.sqrt((variance * LIKE) / logs.length)
  if (Math.abs(mean) < Math.max(DECIDED * error, BETTER)) return undefined
  return mean > 0 ? 'disc' : 'gaussian'
}
