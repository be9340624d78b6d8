/**
 * Long smooth curves out of places of edges: linked from neighbour to neighbour while the slope keeps its way, cut where they are no
 * parabola over their chord, and joined again over gaps where both pieces lie on one.
 */
import type { Edgel, Edges } from './edges.js'

export interface Curve {
  /** Along the curve, px. */
  readonly points: readonly (readonly [number, number])[]
  /** From its first to its last point, px. */
  readonly chord: number
}

/** Cosine of the turn of the slope from one place to the next, and of the way there against the edge. */
const [SAME_SLOPE, ALONG] = [0.94, 0.6]
/** px that a place may be off the parabola before the curve is cut there, and rms of what is kept. */
const [CUT, TIDY] = [1, 0.4]
/** Fewer places are not cut any further. */
const FEWEST = 8
/** A gap may be so long for what it joins. */
const GAP = 0.35
/** Curves that are joined, at most: the longest. */
const JOINED = 400

/** The longest first. @param least of the chord, px */
export function curvesOf(edges: Edges, least: number): Curve[] {
  const pieces = chainsOf(edges).flatMap((chain) => smoothParts(chain, least / 3))
  return joined(pieces.toSorted((a, b) => b.chord - a.chord).slice(0, JOINED))
    .filter((c) => c.chord >= least)
    .toSorted((a, b) => b.chord - a.chord)
}

type Points = readonly (readonly [number, number])[]

function chainsOf({ width, height, at }: Edges): Points[] {
  const used = new Uint8Array(at.length)
  const next = (o: number, sign: number): number | undefined => {
    const here = at[o] as Edgel
    const [tx, ty] = [-sign * here.ny, sign * here.nx]
    const [x, y] = [o % width, Math.floor(o / width)]
    let [best, score] = [-1, 0]
    for (let j = -2; j <= 2; j++) {
      for (let i = -2; i <= 2; i++) {
        if (x + i < 0 || y + j < 0 || x + i >= width || y + j >= height) continue
        const p = o + j * width + i
        const there = at[p]
        if (there === undefined || used[p] === 1 || p === o) continue
        if (there.nx * here.nx + there.ny * here.ny < SAME_SLOPE) continue
        const [dx, dy] = [there.x - here.x, there.y - here.y]
        const away = Math.sqrt(dx * dx + dy * dy)
        const along = (dx * tx + dy * ty) / away
        // The nearest that lies ahead.
        if (away > 0.3 && along > ALONG && along / away > score) [best, score] = [p, along / away]
      }
    }
    return best < 0 ? undefined : best
  }
  const walk = (from: number, sign: number) => {
    const chain: number[] = []
    for (let o = next(from, sign); o !== undefined; o = next(o, sign)) {
      used[o] = 1
      chain.push(o)
    }
    return chain
  }
  const starts = at.flatMap((e, o) => (e === undefined ? [] : [o]))
  starts.sort((a, b) => (at[b] as Edgel).steep - (at[a] as Edgel).steep || a - b)
  return starts.flatMap((o) => {
    if (used[o] === 1) return []
    used[o] = 1
    const chain = [...walk(o, -1).reverse(), o, ...walk(o, 1)]
    if (chain.length < FEWEST) return []
    return [chain.map((p) => [(at[p] as Edgel).x, (at[p] as Edgel).y] as const)]
  })
}

function smoothParts(points: Points, least: number): Curve[] {
  const chord = chordOf(points)
  if (points.length < FEWEST || chord < least) return []
  const { off, rms } = parabola(points)
  const worst = off.reduce((best, v, i) => (Math.abs(v) > Math.abs(off[best] as number) ? i : best), 0)
  if (Math.abs(off[worst] as number) <= CUT) return rms <= TIDY ? [{ points, chord }] : []
  // At an end nothing would be cut off.
  const at = Math.min(Math.max(worst, 3), points.length - 3)
  return [...smoothParts(points.slice(0, at), least), ...smoothParts(points.slice(at), least)]
}

function chordOf(points: Points): number {
  const [a, b] = [points[0], points.at(-1)] as [Points[number], Points[number]]
  return Math.sqrt((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2)
}

/** How far each point is off the parabola over the chord that fits them best, px. */
function parabola(points: Points): { readonly off: readonly number[]; readonly rms: number } {
  const [a, b] = [points[0], points.at(-1)] as [Points[number], Points[number]]
  const chord = chordOf(points)
  const [tx, ty] = [(b[0] - a[0]) / chord, (b[1] - a[1]) / chord]
  const t = points.map(([x, y]) => (2 * ((x - a[0]) * tx + (y - a[1]) * ty)) / chord - 1)
  const v = points.map(([x, y]) => (y - a[1]) * tx - (x - a[0]) * ty)
  const off = lessPowers(v, t, 2)
  return { off, rms: Math.sqrt(off.reduce((s, o) => s + o * o, 0) / off.length) }
}

/** What is left of `v` without the powers 0 to `most` of `t`, made orthogonal in turn. */
export function lessPowers(v: readonly number[], t: readonly number[], most: 1 | 2): number[] {
  const basis: number[][] = []
  for (let power = 0; power <= most; power++) {
    const column = t.map((x) => (power === 0 ? 1 : power === 1 ? x : x * x))
    basis.push(basis.reduce((c, b) => less(c, b), column))
  }
  return basis.reduce((left, b) => less(left, b), [...v])
}

function less(v: readonly number[], b: readonly number[]): number[] {
  let [vb, bb] = [0, 0]
  for (let i = 0; i < b.length; i++) {
    vb += (v[i] as number) * (b[i] as number)
    bb += (b[i] as number) ** 2
  }
  const k = bb > 0 ? vb / bb : 0
  return v.map((x, i) => x - k * (b[i] as number))
}

/** Pieces that lie on one parabola as one curve, whatever lies between them. */
function joined(pieces: readonly Curve[]): Curve[] {
  const left = [...pieces]
  for (let i = 0; i < left.length; i++) {
    for (let j = i + 1; j < left.length; j++) {
      const both = join(left[i] as Curve, left[j] as Curve)
      if (both === undefined) continue
      left[i] = both
      left.splice(j, 1)
      // The longer one may reach what the shorter did not.
      j = i
    }
  }
  return left
}

function join(a: Curve, b: Curve): Curve | undefined {
  const [p, q] = [a.points[0], a.points.at(-1)] as [Points[number], Points[number]]
  const [r, s] = [b.points[0], b.points.at(-1)] as [Points[number], Points[number]]
  const dot = ((q[0] - p[0]) * (s[0] - r[0]) + (q[1] - p[1]) * (s[1] - r[1])) / (a.chord * b.chord)
  // The same way, light on the same side: chains run with the dark on one hand.
  if (dot < 0.9) return undefined
  const gap = (u: Points[number], v: Points[number]) => Math.sqrt((u[0] - v[0]) ** 2 + (u[1] - v[1]) ** 2)
  const [after, before] = [gap(q, r), gap(s, p)]
  if (Math.min(after, before) > GAP * (a.chord + b.chord)) return undefined
  const points = after <= before ? [...a.points, ...b.points] : [...b.points, ...a.points]
  const chord = chordOf(points)
  // Side by side they are two.
  if (chord < 0.95 * (a.chord + b.chord)) return undefined
  const { off, rms } = parabola(points)
  return rms <= TIDY && off.every((o) => Math.abs(o) <= CUT) ? { points, chord } : undefined
}
