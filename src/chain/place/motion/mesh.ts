/**
 * A surface that bends: a matrix, and offsets from it at the nodes of a mesh on the reference frame, bilinear in between.
 *
 *   p′ = M(p) + o(p)        p  px of the reference frame        o  px of the other frame
 *
 * Beyond the mesh the offset is that of its border's nearest place. The way back is Newton's iteration until the last step is
 * below 1e-9 px, at most 64 steps, each halved until it comes nearer: the slope breaks at the cells' sides. Where the surface
 * folds over there are several ways back, or none.
 * Source: common practice (bilinear patches).
 */
import { at, inverse, type Matrix3, type Place, slopeAt } from './matrix.js'

/** Where the nodes lie on the reference frame: `columns` × `rows` of them, 2 or more each way, from border to border. */
export interface Mesh {
  readonly x: number
  readonly y: number
  readonly width: number
  readonly height: number
  readonly columns: number
  readonly rows: number
}

/** `nodes`: dx and dy in turn, row by row. */
export interface BentMotion {
  readonly matrix: Matrix3
  readonly mesh: Mesh
  readonly nodes: ArrayLike<number>
}

const LAST_STEP = 1e-9
const MOST_STEPS = 64
const MOST_HALVINGS = 12

/** Where (x, y) of the reference frame is carried. */
export function bentAt(motion: BentMotion, x: number, y: number): [number, number] {
  const [u, v] = at(motion.matrix, x, y)
  const [dx, dy] = offsetAt(motion, x, y)
  return [u + dx, v + dy]
}

/** What place of the reference frame is carried to (x, y); undefined where none is found. */
export function unbentAt(motion: BentMotion, x: number, y: number): [number, number] | undefined {
  let [p, q] = at(inverse(motion.matrix), x, y)
  let [ex, ey] = gap(motion, [x, y], p, q)
  for (let step = 0; step < MOST_STEPS; step++) {
    const [a, b, c, d] = slopes(motion, p, q)
    const area = a * d - b * c
    if (area === 0 || !Number.isFinite(area)) return undefined
    let [stepX, stepY] = [(ex * d - ey * b) / area, (ey * a - ex * c) / area]
    let next = gap(motion, [x, y], p + stepX, q + stepY)
    for (let k = 0; k < MOST_HALVINGS && far(next) > far([ex, ey]); k++) {
      stepX /= 2
      stepY /= 2
      next = gap(motion, [x, y], p + stepX, q + stepY)
    }
    ;[ex, ey] = next
    p += stepX
    q += stepY
    if (Math.abs(stepX) + Math.abs(stepY) < LAST_STEP) return far([ex, ey]) < 1e-12 ? [p, q] : undefined
  }
  return undefined
}

const far = ([x, y]: Place) => x * x + y * y

function gap(motion: BentMotion, [x, y]: Place, p: number, q: number): [number, number] {
  const [u, v] = bentAt(motion, p, q)
  return [x - u, y - v]
}

function offsetAt(motion: BentMotion, x: number, y: number): [number, number] {
  return [bilinear(motion, x, y, 0)[0], bilinear(motion, x, y, 1)[0]]
}

/** Offset along one axis (0: x, 1: y), and its slopes along x and y. */
function bilinear({ mesh, nodes }: BentMotion, x: number, y: number, axis: 0 | 1): [number, number, number] {
  const [i, s, sx] = cellOf(x, mesh.x, mesh.width, mesh.columns)
  const [j, t, sy] = cellOf(y, mesh.y, mesh.height, mesh.rows)
  const node = 2 * (j * mesh.columns + i) + axis
  const below = node + 2 * mesh.columns
  const [a, b] = [nodes[node] as number, nodes[node + 2] as number]
  const [c, d] = [nodes[below] as number, nodes[below + 2] as number]
  const [upper, lower] = [a + s * (b - a), c + s * (d - c)]
  return [upper + t * (lower - upper), ((1 - t) * (b - a) + t * (d - c)) * sx, (lower - upper) * sy]
}

/** Cell along one axis, how far within it (0 to 1), and what that grows by a pixel (0 beyond the mesh). */
function cellOf(v: number, from: number, length: number, nodes: number): [number, number, number] {
  const cells = ((v - from) / length) * (nodes - 1)
  const held = Math.min(Math.max(cells, 0), nodes - 1)
  const cell = Math.min(Math.floor(held), nodes - 2)
  return [cell, held - cell, cells === held ? (nodes - 1) / length : 0]
}

function slopes(motion: BentMotion, x: number, y: number): [number, number, number, number] {
  const [a, b, c, d] = slopeAt(motion.matrix, x, y)
  const [, ux, uy] = bilinear(motion, x, y, 0)
  const [, vx, vy] = bilinear(motion, x, y, 1)
  return [a + ux, b + uy, c + vx, d + vy]
}

/** Whether a cell turns over at one of its corners. */
export function folds(map: BentMotion): boolean {
  const { mesh: m } = map
  const node = (i: number, j: number) =>
    bentAt(map, m.x + (m.width * i) / (m.columns - 1), m.y + (m.height * j) / (m.rows - 1))
  for (let j = 0; j + 1 < m.rows; j++) {
    for (let i = 0; i + 1 < m.columns; i++) {
      const corners = [node(i, j), node(i + 1, j), node(i + 1, j + 1), node(i, j + 1)] as const
      const turns = corners.map(([x, y], k) => {
        const [before, after] = [corners[(k + 3) % 4], corners[(k + 1) % 4]] as [
          [number, number],
          [number, number],
        ]
        return (x - before[0]) * (after[1] - y) - (y - before[1]) * (after[0] - x)
      })
      if (!turns.every((t) => t > 0)) return true
    }
  }
  return false
}
