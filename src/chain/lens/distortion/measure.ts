/**
 * Distortion of a plate from lines in it that are straight in the scene: edges of buildings, doors, shelves, the horizon.
 *
 * Edges to a part of a pixel, linked to long smooth curves, and the one distortion under which most of them are straight (`lines/`).
 * Curves that are bent in the scene disagree with each other; straight ones agree. Nothing is told where few agree, or where what
 * they say is too uncertain. The lens's axis is taken as the picture's middle.
 */
import type { Reading } from '../../../core/index.js'
import { curvesOf } from './lines/curves.js'
import { edgesOf } from './lines/edges.js'
import { type Line, type Plumb, plumb } from './lines/plumb.js'
import type { Distortion } from './model.js'
import { type LightPicture, shrunk } from './picture.js'

/** A picture of the plate, and where lines count in it. */
export interface LinedFrame {
  readonly frame: number
  readonly picture: LightPicture
  /** Lines are looked for within these alone, px; everywhere when absent. */
  readonly within?:
    | readonly { readonly x: number; readonly y: number; readonly width: number; readonly height: number }[]
    | undefined
}

export interface LinesFound {
  readonly distortion: Reading<Distortion>
  /** The curves that were taken as straight lines, px of their frame. */
  readonly lines: readonly {
    readonly frame: number
    readonly points: readonly (readonly [number, number])[]
  }[]
}

/** Longer side at which edges are looked for. */
const LARGE = 2048
/** Chord of a curve, of the short side. */
const LEAST = 0.22
/** Points of a curve that are looked at. */
const POINTS = 48
/** Curves that are looked at, the longest. */
const CURVES = 250
/** Lines that must agree, and how much likelier that must be than chance: choices. */
const FEWEST = 5
const GAIN = 12
/** Half a corner pixel of 1080p in 16:9 comes to 2e-4; so uncertain a k1 says nothing. */
const TOO_WIDE = 0.02

/** @param frames all of one size */
export function measureDistortion(frames: readonly LinedFrame[]): LinesFound {
  const [first] = frames
  if (first === undefined) return { distortion: { cannotTell: 'there is no frame to look at' }, lines: [] }
  const { width, height } = first.picture
  const unit = Math.min(width, height) / 2
  const curves = frames.flatMap((f) =>
    curvesIn(f, LEAST * 2 * unit).map((points) => ({ frame: f.frame, points })),
  )
  const clusters = clustersOf(curves.map((c) => c.points))
  const lines = curves.map(({ points }, i): Line => {
    const seen = thinned(points).map(([x, y]) => [(x - width / 2) / unit, (y - height / 2) / unit] as const)
    return { points: seen, cluster: clusters[i] as number }
  })
  const found = plumb(lines, unit)
  const held = found === undefined ? 0 : agreeing(lines, found)
  if (found === undefined || held < FEWEST || found.gain < GAIN) {
    const cannotTell = `of ${curves.length} long smooth curves ${Math.round(held)} agree on how lines are bent, which chance can do: a plate tells it by long straight edges away from the picture's middle`
    return { distortion: { cannotTell }, lines: [] }
  }
  const { k1, k2, spread } = found
  if (spread.k1 > TOO_WIDE) {
    const cannotTell = `k1 = ${short(k1)} ± ${short(spread.k1)}, too uncertain to be of use: the straight edges are short, or all near the picture's middle`
    return { distortion: { cannotTell }, lines: [] }
  }
  const second = k2 === 0 ? '' : `, k2 ${short(k2)} ± ${short(spread.k2)}`
  const straight = curves.filter((_, i) => (found.straight[i] as number) > 0.5)
  return {
    distortion: {
      value: { form: 'brown-conrady', terms: [k1, k2, 0, 0, 0] },
      evidence: {
        kind: 'measured',
        frames: frames.map((f) => f.frame),
        method: `${straight.length} of ${curves.length} long curves made straight: k1 ${short(k1)} ± ${short(spread.k1)}${second}`,
        spread: spread.k1,
        confidence: 0.8,
      },
    },
    lines: straight,
  }
}

function curvesIn(
  { picture, within }: LinedFrame,
  least: number,
): (readonly (readonly [number, number])[])[] {
  const by = Math.max(1, Math.round(Math.max(picture.width, picture.height) / LARGE))
  const inside =
    within &&
    ((x: number, y: number) =>
      within.some((r) => by * x >= r.x && by * y >= r.y && by * x < r.x + r.width && by * y < r.y + r.height))
  return curvesOf(edgesOf(shrunk(picture, by), inside), least / by)
    .slice(0, CURVES)
    .map(({ points }) => points.map(([x, y]) => [by * x, by * y] as const))
}

/** Means of runs of points: less noise, and less work. */
function thinned(points: readonly (readonly [number, number])[]): (readonly [number, number])[] {
  const run = Math.max(1, Math.floor(points.length / POINTS))
  return Array.from({ length: Math.floor(points.length / run) }, (_, k) => {
    const part = points.slice(k * run, (k + 1) * run)
    return [part.reduce((s, p) => s + p[0], 0) / run, part.reduce((s, p) => s + p[1], 0) / run] as const
  })
}

/** Curves whose ends lie within a few pixels of those of one before, on another frame or beside it, are one thing seen again. */
function clustersOf(curves: readonly (readonly (readonly [number, number])[])[]): number[] {
  const NEAR = 6
  const heads: { at: readonly number[]; cluster: number }[] = []
  return curves.map((points, i) => {
    const [a, b] = [points[0], points.at(-1)] as [readonly [number, number], readonly [number, number]]
    const [p, q] = a[0] + a[1] < b[0] + b[1] ? [a, b] : [b, a]
    const at = [...p, ...q]
    const same = heads.find((h) => h.at.every((v, k) => Math.abs(v - (at[k] as number)) < NEAR))
    if (same !== undefined) return same.cluster
    heads.push({ at, cluster: i })
    return i
  })
}

/** Clusters that are straight lines, each counted once. */
function agreeing(lines: readonly Line[], { straight }: Plumb): number {
  const best = new Map<number, number>()
  lines.forEach(({ cluster }, i) => {
    best.set(cluster, Math.max(best.get(cluster) ?? 0, straight[i] as number))
  })
  return [...best.values()].reduce((a, b) => a + b, 0)
}

function short(v: number): string {
  return String(Number(v.toPrecision(2)))
}
