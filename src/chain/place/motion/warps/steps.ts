/**
 * From each frame to the next, what the picture does, in parts that tell a turning camera from what was done to its picture. About
 * the middle of the lens, to first order in a small step:
 *
 *   u = t₁ + q₁x² + q₂xy − ry + zx + a₁y        t  shift  px                q  perspective  px⁻¹
 *   v = t₂ + q₁xy + q₂y² + rx + zy + a₂y        r  turn, z  growth          a  what differs from row to row
 *
 * A camera that turns about its lens has t = f²·q (f: focal length, px) and a = 0. What is left of each band of rows after that is
 * taken by itself. Source: [longuet1980] (the flow of a turning camera); rows: [forssen2010]. Linear algebra: ml-matrix.
 */
import { CholeskyDecomposition, Matrix } from 'ml-matrix'
import type { Place } from '../matrix.js'
import type { SeenPoint } from '../seen.js'

export interface StepParts {
  /** The later frame. */
  readonly frame: number
  readonly shift: Place
  readonly perspective: Place
  readonly rows: Place
  /** Variances, in the points' own spreads: of a shift, of a perspective, of rows. */
  readonly variance: { readonly shift: Place; readonly perspective: Place; readonly rows: Place }
  /** Mean square of what is left within the bands, in the points' spreads: 1 where nothing but their errors is. */
  readonly left: number
  /** Of each band of rows, from the top: mean of what is left across and down, px, and its variance; none where few points lie. */
  readonly bands: readonly ({ readonly off: Place; readonly variance: number } | undefined)[]
}

const BANDS = 12
/** Of the bands, those in which there must be points. */
const SHARE = 0.7
const LEAST_POINTS = 24
const LEAST_IN_BAND = 3
const FREE = 8
const ROUNDS = 4
/** Of Tukey's function. Source: [beaton1974]. */
const CUT = 4.685

interface Flow {
  readonly x: number
  readonly y: number
  readonly u: number
  readonly v: number
  /** 1 / spread² of a difference of two sightings. */
  readonly w: number
}

/** Steps between frames that follow each other and share points enough, over most of the picture's height. */
export function stepsOf(points: readonly SeenPoint[], middle: Place, height: number): StepParts[] {
  const flows = new Map<number, Flow[]>()
  for (const { seen } of points) {
    for (let i = 1; i < seen.length; i++) {
      const [n, u, v, s] = seen[i] as (typeof seen)[number]
      const [before, x, y, t] = seen[i - 1] as (typeof seen)[number]
      if (before !== n - 1) continue
      const flow = { x: x - middle[0], y: y - middle[1], u: u - x, v: v - y, w: 1 / (s * s + t * t) }
      flows.set(n, [...(flows.get(n) ?? []), flow])
    }
  }
  return [...flows].flatMap(([frame, list]) => {
    const step = stepOf(frame, list, height)
    return step === undefined ? [] : [step]
  })
}

function stepOf(frame: number, flows: readonly Flow[], height: number): StepParts | undefined {
  const held = new Set(flows.map((f) => bandOf(f.y, height))).size
  if (flows.length < LEAST_POINTS || held < SHARE * BANDS) return undefined
  let weights = flows.map((f) => f.w)
  let p: readonly number[] | undefined
  let factor: CholeskyDecomposition | undefined
  for (let round = 0; round < ROUNDS; round++) {
    factor = normalOf(flows, weights, height)
    p = factor && solvedBy(factor, flows, weights, height)
    if (p === undefined) return undefined
    const squares = flows.map((f) => f.w * square(restOf(f, p as number[], height)))
    const scale = Math.max(1, middleOf(squares) / (2 * Math.LN2))
    weights = flows.map((f, i) => {
      const share = (squares[i] as number) / (CUT * CUT * scale)
      return share < 1 ? f.w * (1 - share) ** 2 : 0
    })
  }
  if (factor === undefined || p === undefined) return undefined
  const inverse = factor.solve(Matrix.eye(FREE))
  const rest = flows.map((f) => restOf(f, p as number[], height))
  const bands = bandsOf(flows, weights, rest, height)
  const count = weights.filter((w) => w > 0).length
  const within = flows.map((f, i) => {
    const [x, y] = rest[i] as Place
    const [u, v] = betweenBands(bands, f.y, height)
    return (weights[i] as number) > 0 ? f.w * ((x - u) ** 2 + (y - v) ** 2) : 0
  })
  const left = within.reduce((a, b) => a + b, 0) / Math.max(1, 2 * (count - BANDS) - FREE)
  const pair = (i: number, j: number, unit: number): Place => [(p?.[i] ?? 0) / unit, (p?.[j] ?? 0) / unit]
  const spread = (i: number, j: number, unit: number): Place => [
    inverse.get(i, i) / (unit * unit),
    inverse.get(j, j) / (unit * unit),
  ]
  return {
    ...{ frame, left },
    ...{ shift: pair(0, 1, 1), perspective: pair(2, 3, height), rows: pair(6, 7, height) },
    variance: { shift: spread(0, 1, 1), perspective: spread(2, 3, height), rows: spread(6, 7, height) },
    bands,
  }
}

type Bands = StepParts['bands']

const bandOf = (y: number, height: number) =>
  Math.min(BANDS - 1, Math.max(0, Math.floor((y / height + 0.5) * BANDS)))

function bandsOf(
  flows: readonly Flow[],
  weights: readonly number[],
  rest: readonly Place[],
  height: number,
): Bands {
  return Array.from({ length: BANDS }, (_, b) => {
    const own = flows.flatMap((f, i) => (bandOf(f.y, height) === b && (weights[i] as number) > 0 ? [i] : []))
    if (own.length < LEAST_IN_BAND) return undefined
    const sum = own.reduce((s, i) => s + (flows[i] as Flow).w, 0)
    const mean = (axis: 0 | 1) =>
      own.reduce((s, i) => s + (flows[i] as Flow).w * (rest[i] as Place)[axis], 0) / sum
    return { off: [mean(0), mean(1)] as const, variance: 1 / sum }
  })
}

/** What the bands say of a row, linear between their middles. */
function betweenBands(bands: Bands, y: number, height: number): Place {
  const at = Math.min(BANDS - 1, Math.max(0, (y / height + 0.5) * BANDS - 0.5))
  const i = Math.min(BANDS - 2, Math.floor(at))
  const [a, b] = [bands[i] ?? bands[i + 1], bands[i + 1] ?? bands[i]]
  if (a === undefined || b === undefined) return [0, 0]
  const t = at - i
  return [a.off[0] + t * (b.off[0] - a.off[0]), a.off[1] + t * (b.off[1] - a.off[1])]
}

/** How u and v depend on the eight numbers; x and y in picture heights for all but the shift. */
function rowsAt({ x, y }: Flow, h: number): readonly [readonly number[], readonly number[]] {
  const [s, t] = [x / h, y / h]
  return [
    [1, 0, s * x, s * y, -t, s, t, 0],
    [0, 1, s * y, t * y, s, t, 0, t],
  ]
}

function normalOf(
  flows: readonly Flow[],
  weights: readonly number[],
  h: number,
): CholeskyDecomposition | undefined {
  const a = Matrix.zeros(FREE, FREE)
  flows.forEach((f, k) => {
    for (const row of rowsAt(f, h))
      for (let i = 0; i < FREE; i++)
        for (let j = 0; j <= i; j++)
          a.set(i, j, a.get(i, j) + (weights[k] as number) * (row[i] as number) * (row[j] as number))
  })
  for (let i = 0; i < FREE; i++) for (let j = 0; j < i; j++) a.set(j, i, a.get(i, j))
  const factor = new CholeskyDecomposition(a)
  return factor.isPositiveDefinite() ? factor : undefined
}

function solvedBy(
  factor: CholeskyDecomposition,
  flows: readonly Flow[],
  weights: readonly number[],
  h: number,
): number[] {
  const b = new Array<number>(FREE).fill(0)
  flows.forEach((f, k) => {
    rowsAt(f, h).forEach((row, axis) => {
      for (let i = 0; i < FREE; i++)
        b[i] = (b[i] as number) + (weights[k] as number) * (row[i] as number) * (axis === 0 ? f.u : f.v)
    })
  })
  return factor.solve(Matrix.columnVector(b)).to1DArray()
}

function restOf(f: Flow, p: readonly number[], h: number): Place {
  const [across, down] = rowsAt(f, h)
  const dot = (row: readonly number[]) => row.reduce((sum, v, i) => sum + v * (p[i] as number), 0)
  return [f.u - dot(across), f.v - dot(down)]
}

const square = ([x, y]: Place) => x * x + y * y
const middleOf = (v: readonly number[]) => [...v].sort((a, b) => a - b)[v.length >> 1] ?? 0
