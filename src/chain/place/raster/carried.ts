/**
 * The drawing of a carried element: its motion turned round, from the plate's pixels to the element's, as a map of shifts.
 *
 *   u = (ax + by + c)/w, w = gx + hy + i:   ∂²u/∂x² = −2g·((ah − bg)y + ai − cg)/w³, likewise down
 *
 * Between nodes h apart the map is wrong by at most h²/8 times the second derivatives, which over a rectangle are largest at
 * corners and where w is least; and where a mesh's slope breaks by k between two of its cells, by h/4·k. Nodes lie 8 px apart where
 * that stays below 1/50 px of the element, with a mesh 1/4 px, which is what its tracks are good for (choices); else on every
 * pixel, where nothing lies between.
 *
 * What lies behind the camera or on its horizon is nowhere in the picture. The map holds for the frame and what blurs into it,
 * as far as the element reaches, whatever part of it is drawn.
 */
import { invert3, type Matrix3 } from '../../../colour/index.js'
import { align, EMPTY, intersect, isEmpty, type Region, union } from '../../../core/index.js'
import { type WarpMap, warpMap } from '../../../kernels/index.js'
import { at, slopeAt } from '../motion/matrix.js'
import { type BentMotion, unbending } from '../motion/mesh.js'
import { backBy, type Carried, depth } from './map.js'

const STEP = 8
/** Largest error between nodes, px of the element. */
const OFF = 0.02
const OFF_MESH = 0.25
/** A position that is in no picture: beyond what a file can be wide, within what a map can hold. */
const NOWHERE = 65_000
/** Least depth that is drawn, as a share of the largest: what is nearer to the horizon lies 10⁶ times as far as the rest. */
const HORIZON = 1e-6
/** Beyond the picture's border: what a filter sees of it, px of the element and of the plate. */
const SUPPORT = { element: 3, plate: 4 }

/** @param near plate pixels that can be wanted of it on this frame */
export function carriedWarp(map: Carried, width: number, height: number, near: Region): WarpMap | undefined {
  const frame = align(intersect(everBounds(map, width, height, near), near), STEP, STEP)
  if (isEmpty(frame)) return undefined
  const unbend = 'mesh' in map ? unbending(map) : undefined
  const backAt = backBy(map)
  const found = new Float64Array(2)
  return warpMap(frame, stepOf(map, frame), false, (x, y, out) => {
    // As `standsAt`, without an array a node.
    const [a, b, c, d, e, f, g, h, i] = backAt(y)
    const w = g * x + h * y + i
    const before = w > 0 && (unbend === undefined || unbend(x, y, found))
    const u = unbend === undefined ? (a * x + b * y + c) / w : (found[0] as number)
    const v = unbend === undefined ? (d * x + e * y + f) / w : (found[1] as number)
    out[2] = before ? held(u, x) : x - NOWHERE
    out[3] = before ? held(v, y) : y - NOWHERE
  })
}

function held(v: number, from: number): number {
  return v - from > -NOWHERE ? Math.min(v, from + NOWHERE) : from - NOWHERE
}

function stepOf(map: Carried, frame: Region): 1 | 8 {
  const bend = (STEP * STEP * curving(invert3(map.matrix), frame)) / 8
  if (!('mesh' in map)) return bend <= OFF ? STEP : 1
  return bend + (STEP * breaking(map)) / 4 <= OFF_MESH ? STEP : 1
}

/** Largest second derivatives across and down within a rectangle, together, of u or v; infinite where it holds the horizon. */
function curving(back: Matrix3, r: Region): number {
  const [a, b, c, d, e, f, g, h, i] = back
  const xs = [r.x, r.x + r.width + STEP]
  const ys = [r.y, r.y + r.height + STEP]
  const least = Math.min(...xs.flatMap((x) => ys.map((y) => depth(back, x, y))))
  if (!(least > 0)) return Number.POSITIVE_INFINITY
  const most = (over: readonly number[], slope: number, start: number) =>
    Math.max(...over.map((v) => Math.abs(slope * v + start)))
  const bend = (p: number, q: number, s: number) =>
    Math.abs(g) * most(ys, p * h - q * g, p * i - s * g) +
    Math.abs(h) * most(xs, q * g - p * h, q * i - s * h)
  return (2 * Math.max(bend(a, b, c), bend(d, e, f))) / (least * least * least)
}

/** Most by which a mesh's slope breaks between neighbouring cells, in px of the element a pixel of the plate. */
function breaking({ matrix, mesh: m, nodes }: BentMotion): number {
  const [a, b, c, d] = slopeAt(matrix, m.x + m.width / 2, m.y + m.height / 2)
  const area = Math.abs(a * d - b * c)
  const cell = Math.min(m.width / (m.columns - 1), m.height / (m.rows - 1))
  let most = 0
  for (let k = 0; k < nodes.length; k++) {
    const column = Math.floor(k / 2) % m.columns
    const row = Math.floor(k / 2 / m.columns)
    for (const [within, last, by] of [
      [column, m.columns - 1, 2],
      [row, m.rows - 1, 2 * m.columns],
    ] as const) {
      const here = nodes[k] as number
      // Beyond the mesh the offset is level.
      const before = within > 0 ? (nodes[k - by] as number) : here
      const after = within < last ? (nodes[k + by] as number) : here
      most = Math.max(most, Math.abs(before - 2 * here + after))
    }
  }
  return most / (cell * area)
}

/** Rows of the frame at whose times a moving picture's bounds are looked at. */
const TIMES = 9

/** Everything that the picture can reach on any row of the frame. */
function everBounds(map: Carried, width: number, height: number, near: Region): Region {
  const { rows } = 'mesh' in map ? { rows: undefined } : map
  if (rows === undefined) return boundsOf(map, width, height)
  return Array.from({ length: TIMES }, (_, k) => near.y + (near.height * k) / (TIMES - 1))
    .map((y) => boundsOf({ matrix: rows(y) }, width, height))
    .reduce(union)
}

/** Everything that the picture can reach, cut off near its horizon. */
function boundsOf(map: Carried, width: number, height: number): Region {
  const { matrix } = map
  const s = SUPPORT.element
  const corners = [
    ...[[-s, -s] as const, [width + s, -s] as const],
    ...[[width + s, height + s] as const, [-s, height + s] as const],
  ].map(([x, y]) => ({ x, y, w: depth(matrix, x, y) }))
  const least = HORIZON * Math.max(...corners.map((c) => Math.abs(c.w)))
  const before = corners.flatMap((a, i) => {
    const b = corners[(i + 1) % 4] as typeof a
    const t = (least - a.w) / (b.w - a.w)
    const crossing =
      a.w > least !== b.w > least ? [{ x: a.x + t * (b.x - a.x), y: a.y + t * (b.y - a.y) }] : []
    return a.w > least ? [a, ...crossing] : crossing
  })
  if (before.length === 0) return EMPTY
  const points = before.map(({ x, y }) => at(matrix, x, y))
  const side = (axis: 0 | 1): [number, number] => {
    const along = points.map((p) => p[axis])
    const by = 'mesh' in map ? Array.from(map.nodes).filter((_, i) => i % 2 === axis) : [0]
    const low = Math.min(...along) + Math.min(...by) - SUPPORT.plate
    const high = Math.max(...along) + Math.max(...by) + SUPPORT.plate
    // Far beyond any picture, whole numbers would no longer be exact.
    return [Math.floor(Math.max(low, -1e6)), Math.ceil(Math.min(high, 1e6))]
  }
  const [x, right] = side(0)
  const [y, bottom] = side(1)
  return right > x && bottom > y ? { x, y, width: right - x, height: bottom - y } : EMPTY
}
