/**
 * A bending surface over a shot, from points seen frame by frame. Each frame by itself against the reference frame, so that nothing
 * adds up; the matrix is the homography that its points lie nearest to, the offsets what is left (fit.ts), one smoothness for the
 * whole shot (smooth.ts). A frame whose mesh folds over is made smoother until it does not, and that is said; where that does not
 * help, it counts as not seen. What was not seen is carried over from both sides, each node by itself (bridge.ts). By hand:
 * correct.ts.
 */
import { withBridges } from '../bridge.js'
import { pieces } from '../fill.js'
import { fitMotion } from '../fit/fit.js'
import { affine, homography } from '../fit/models.js'
import { countOf, type Pairs, pairsOf, placeOf } from '../fit/pairs.js'
import { jumpsIn } from '../jumps.js'
import type { SolvedFrame } from '../known.js'
import { at, IDENTITY, type Matrix3, type Place } from '../matrix.js'
import { folds, type Mesh } from '../mesh.js'
import type { Where } from '../path.js'
import { pairsByFrame, type Seen, straightened } from '../seen.js'
import { jumpsSaid, saidOf } from '../words.js'
import { handed } from './correct.js'
import { fitSurface, LEAST_POINTS, type SurfaceFit } from './fit.js'
import { meshOver, nodeAt, nodeCount } from './grid.js'
import type { KnownSurface } from './known.js'
import { type Sheet, smoothnessOf, spreadOf } from './smooth.js'

export interface SolvedSurface {
  readonly mesh: Mesh
  readonly why: string
  readonly frames: readonly (SolvedFrame & { readonly nodes: readonly number[] })[]
  readonly said: readonly string[]
}

/** Frames from which the smoothness is told. */
const TELL = 6
/** What a bilinear patch can be off from a bend beside the points' own spread, px: no point is believed further. */
const PATCH = 0.05
/** Stiffness under which the points that go together are sorted out for the plane, px⁻². */
const FIRST = 1e3
/** How often a frame that folds is made ten times smoother. */
const TRIES = 5

/** @param region outline on the reference frame, straight */
export function solveSurface(seen: Seen, region: readonly Place[]): SolvedSurface {
  const mesh = meshOver(region)
  const { first, count } = seen.frames
  const reference = seen.reference - first
  const sheets = pairsByFrame(seen).map((pairs, i) => (i === reference ? undefined : sheetOf(mesh, pairs)))
  const known = sheets.filter((s) => s !== undefined)
  const smooth = smoothnessOf(mesh, evenly(known, TELL))
  const smoother: number[] = []
  const folding: number[] = []
  const agree = sheets.map(() => 0)
  const fitted = sheets.map((sheet, i): KnownSurface | undefined => {
    if (i === reference) return { state: 'tracked', where: placesOf(mesh, IDENTITY), variance: 0 }
    const fit = sheet && unfolded(mesh, sheet, smooth.value)
    if (sheet === undefined || fit === undefined) return undefined
    if (fit === 'folds') {
      folding.push(first + i)
      return undefined
    }
    agree[i] = fit.kept.reduce((n, share) => n + (share > 0 ? 1 : 0), 0)
    if (fit.smooth > smooth.value) smoother.push(first + i)
    const spread = spreadOf(mesh, sheet, fit.nodes, fit.smooth)
    if (!Number.isFinite(spread)) return undefined
    return { state: 'tracked', where: placesOf(mesh, sheet.base, fit.nodes), variance: spread * spread }
  })
  const cuts = new Set((seen.cuts ?? []).map((f) => f - first))
  const jumps = jumpsIn(
    fitted.map((k) => k?.where),
    fitted.map((k) => Math.sqrt(k?.variance ?? 0)),
    cuts,
  )
  const piece = pieces(count, new Set([...cuts, ...jumps.map((j) => j.at)]))
  const corrections = straightened(seen).corrections.map((c) => ({ ...c, frame: c.frame - first }))
  const whole = handed(mesh, filled(fitted, piece), corrections, piece, reference)
  const frames = whole.map((k, i) => ({
    frame: first + i,
    state: k.state,
    ...asMotion(mesh, k.where),
    spreadPx: Math.sqrt(k.variance),
    agree: agree[i] as number,
    seen: pairsCount(seen, first + i),
  }))
  return {
    mesh,
    why: words(mesh, smooth, known.length),
    frames,
    said: [
      ...saidOf(frames, jumpsSaid(jumps, first, seen.cuts !== undefined)),
      ...smoother.map((f) => `On frame ${f} the mesh folded over itself and was made smoother.`),
      ...folding.map(
        (f) => `On frame ${f} the mesh folds over itself, however smooth: it counts as not seen.`,
      ),
    ],
  }
}

/** The pairs that go together, and the plane that they lie nearest to. */
function sheetOf(mesh: Mesh, pairs: Pairs): Sheet | undefined {
  if (countOf(pairs) < LEAST_POINTS) return undefined
  const rough = fitSurface(mesh, IDENTITY, pairs, FIRST)
  if (rough === undefined) return undefined
  // Every place counts alike: the plane is what the surface bends from, not what sharp points prefer.
  const even = { ...pairs, weight: rough.kept.map((share) => (share > 0 ? 1 : 0)) }
  const base = (fitMotion(homography, even) ?? fitMotion(affine, even))?.matrix
  const weight = pairs.weight.map((w) => (w > 0 ? 1 / (1 / w + PATCH * PATCH) : 0))
  return base && { pairs: { ...pairs, weight }, base }
}

function unfolded(
  mesh: Mesh,
  { pairs, base }: Sheet,
  value: number,
): (SurfaceFit & { readonly smooth: number }) | 'folds' | undefined {
  let smooth = value
  for (let k = 0; k < TRIES; k++, smooth *= 10) {
    const fit = fitSurface(mesh, base, pairs, smooth)
    if (fit === undefined) return undefined
    if (!folds({ matrix: base, mesh, nodes: fit.nodes })) return { ...fit, smooth }
  }
  return 'folds'
}

function placesOf(mesh: Mesh, base: Matrix3, nodes?: ArrayLike<number>): Where {
  return Float64Array.from({ length: 2 * nodeCount(mesh) }, (_, i) => {
    const place = at(base, ...nodeAt(mesh, i >> 1))
    return (place[i & 1] as number) + (nodes?.[i] ?? 0)
  })
}

/** The plane that the nodes lie nearest to, and what is left. */
function asMotion(mesh: Mesh, where: Where): { matrix: Matrix3; nodes: readonly number[] } {
  const count = nodeCount(mesh)
  const pairs = pairsOf(
    Array.from({ length: count }, (_, k) => [nodeAt(mesh, k), placeOf(where, k), 1] as const),
  )
  const matrix = (fitMotion(homography, pairs) ?? fitMotion(affine, pairs))?.matrix ?? IDENTITY
  const plane = placesOf(mesh, matrix)
  return { matrix, nodes: Array.from(where, (v, i) => v - (plane[i] as number)) }
}

function filled(known: readonly (KnownSurface | undefined)[], piece: readonly number[]): KnownSurface[] {
  const path = known.map((k) => k?.where)
  const out = withBridges(known, path, piece, (where, variance, state): KnownSurface => {
    return { state, where, variance }
  })
  let last = out.find((k) => k !== undefined) as KnownSurface
  return out.map((k) => {
    if (k) last = k
    return k ?? { ...last, state: 'lost' }
  })
}

function pairsCount(seen: Seen, frame: number): number {
  return seen.points.filter((p) => p.seen.some(([f]) => f === frame)).length
}

function evenly<T>(list: readonly T[], most: number): T[] {
  if (list.length <= most) return [...list]
  return Array.from({ length: most }, (_, i) => list[Math.round((i * (list.length - 1)) / (most - 1))] as T)
}

function words(mesh: Mesh, s: ReturnType<typeof smoothnessOf>, frames: number): string {
  if (frames === 0) return 'nothing of it was seen on another frame'
  const px = (v: number) => `${Number(v.toPrecision(2))} px`
  const grid = `${mesh.columns} by ${mesh.rows} nodes`
  return s.offPx < s.planePx
    ? `${grid}; points that were left out lie ${px(s.offPx)} off with the smoothness that suits them best, ${px(s.planePx)} off a plane`
    : `${grid}; points that were left out lie ${px(s.planePx)} off a plane, and no bend brings them nearer`
}
