/**
 * A bending surface by least squares: offsets o of the mesh's nodes such that
 *
 *   Σ wᵢ·|rᵢ − Σ bᵢₖ·oₖ|²  +  λ·Σ (oₓₓ² + 2·oₓᵧ² + oᵧᵧ² + (oₓ² + oᵧ²) / L²)·cell        is least
 *
 *   rᵢ  how far a point lies from where the matrix carries it  px      bᵢₖ  bilinear shares of the nodes about it
 *   wᵢ  1 / spread²  px⁻²                                              λ    smoothness  px⁻²: the price of a bend
 *   L   a quarter of the mesh's mean side, px: so far a slope runs on where nothing is seen, before it follows the matrix again
 *
 * The second sum is the energy of a bent thin plate under tension, in differences of neighbouring nodes. Points that go elsewhere lose their weight: first as Huber's, then as Tukey's function of what is left, in scales
 * that are the median's. Source: [duchon1977], [wahba1990 §2.4] (thin plates), [huber2009 §7] (weights); the scale of Tukey's
 * function [beaton1974].
 */
import { median } from '../../../../core/index.js'
import type { Pairs } from '../fit/pairs.js'
import { at, type Matrix3, type Place } from '../matrix.js'
import type { Mesh } from '../mesh.js'
import { Band } from './band.js'
import { nodeCount, sharesAt } from './grid.js'

export interface SurfaceFit {
  /** dx and dy in turn, px, a node after the other. */
  readonly nodes: Float64Array
  /** Shares of their weight that the pairs kept, 0 to 1. */
  readonly kept: Float64Array
}

/** Points that a surface needs: three would settle no bend. */
export const LEAST_POINTS = 8
const ROUNDS = { huber: 2, tukey: 3 }
const HUBER = 1.345
const TUKEY = 4.685
/** Median of a length in a plane whose both axes have a spread of 1: √(2·ln 2). */
const MEDIAN = 1.1774
/** Keeps corners apart from all points solvable, px⁻². */
const TINY = 1e-9

/** @returns nothing where the points do not settle it */
export function fitSurface(mesh: Mesh, base: Matrix3, pairs: Pairs, smooth: number): SurfaceFit | undefined {
  const rest = restOf(base, pairs)
  const kept = Float64Array.from(pairs.weight, (w) => (w > 0 ? 1 : 0))
  let nodes: Float64Array | undefined
  for (let round = 0; round <= ROUNDS.huber + ROUNDS.tukey; round++) {
    nodes = leastNodes(
      mesh,
      rest,
      pairs.weight.map((w, i) => w * (kept[i] as number)),
      smooth,
    )
    if (nodes === undefined) return undefined
    const off = offsOf(mesh, rest, nodes, pairs.weight)
    const scale = Math.max(1, median(Array.from(off).filter((q) => q >= 0)) / MEDIAN)
    off.forEach((q, i) => {
      kept[i] = q < 0 ? 0 : (round < ROUNDS.huber ? huber : tukey)(q / scale)
    })
  }
  return nodes && { nodes, kept }
}

const huber = (q: number) => (q <= HUBER ? 1 : HUBER / q)
const tukey = (q: number) => (q < TUKEY ? (1 - (q / TUKEY) ** 2) ** 2 : 0)

/** Offset of the surface at a place of the reference frame, px. */
export function offsetAt(mesh: Mesh, nodes: ArrayLike<number>, p: Place): [number, number] {
  let [x, y] = [0, 0]
  for (const [k, share] of sharesAt(mesh, p)) {
    x += share * (nodes[2 * k] as number)
    y += share * (nodes[2 * k + 1] as number)
  }
  return [x, y]
}

/** Places of the reference frame, and how far each lies from where it was carried, px. */
export interface Rest {
  readonly places: readonly Place[]
  readonly rest: readonly Place[]
}

export function restOf(base: Matrix3, { from, to, weight }: Pairs): Rest {
  const places = Array.from(weight, (_, i): Place => [from[2 * i] as number, from[2 * i + 1] as number])
  const rest = places.map(([x, y], i): Place => {
    const [u, v] = at(base, x, y)
    return [(to[2 * i] as number) - u, (to[2 * i + 1] as number) - v]
  })
  return { places, rest }
}

/** How far each point lies off, in its spreads; below 0 for those that are left out. */
function offsOf(mesh: Mesh, { places, rest }: Rest, nodes: Float64Array, weight: Float64Array): Float64Array {
  return weight.map((w, i) => {
    if (!(w > 0)) return -1
    const [u, v] = offsetAt(mesh, nodes, places[i] as Place)
    const [x, y] = rest[i] as Place
    return Math.sqrt(w * ((x - u) ** 2 + (y - v) ** 2))
  })
}

/** The nodes at which the sums above are least, dx and dy in turn; nothing where fewer than `LEAST_POINTS` count. */
export function leastNodes(
  mesh: Mesh,
  { places, rest }: Rest,
  weight: Float64Array,
  smooth: number,
): Float64Array | undefined {
  const count = nodeCount(mesh)
  const band = new Band(count, 2 * mesh.columns)
  const [x, y] = [new Float64Array(count), new Float64Array(count)]
  let points = 0
  weight.forEach((w, i) => {
    if (!(w > 0)) return
    points++
    const [dx, dy] = rest[i] as Place
    const shares = sharesAt(mesh, places[i] as Place)
    for (const [k, a] of shares) {
      for (const [l, b] of shares) if (l <= k) band.add(k, l, w * a * b)
      x[k] = (x[k] as number) + w * a * dx
      y[k] = (y[k] as number) + w * a * dy
    }
  })
  if (points < LEAST_POINTS) return undefined
  addBending(band, mesh, smooth)
  for (let k = 0; k < count; k++) band.add(k, k, TINY)
  if (!band.factor()) return undefined
  band.solve(x)
  band.solve(y)
  return Float64Array.from({ length: 2 * count }, (_, i) => (i & 1 ? y : x)[i >> 1] as number)
}

/** The plate's energy: squares of second differences, and of first ones. */
function addBending(band: Band, mesh: Mesh, smooth: number): void {
  const { columns, rows, width, height } = mesh
  const [sx, sy] = [width / (columns - 1), height / (rows - 1)]
  const square = (nodes: readonly number[], terms: readonly number[], price: number) => {
    nodes.forEach((k, i) => {
      nodes.forEach((l, j) => {
        if (l <= k) band.add(k, l, price * (terms[i] as number) * (terms[j] as number))
      })
    })
  }
  const cell = smooth * sx * sy
  const tension = cell / ((width + height) / 8) ** 2
  for (let j = 0; j < rows; j++) {
    for (let i = 0; i < columns; i++) {
      const k = j * columns + i
      if (i + 1 < columns) square([k, k + 1], [1, -1], tension / sx ** 2)
      if (j + 1 < rows) square([k, k + columns], [1, -1], tension / sy ** 2)
      if (i > 0 && i + 1 < columns) square([k - 1, k, k + 1], [1, -2, 1], cell / sx ** 4)
      if (j > 0 && j + 1 < rows) square([k - columns, k, k + columns], [1, -2, 1], cell / sy ** 4)
      if (i + 1 < columns && j + 1 < rows)
        square([k, k + 1, k + columns, k + columns + 1], [1, -1, -1, 1], (2 * cell) / (sx * sy) ** 2)
    }
  }
}
