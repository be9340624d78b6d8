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
import { inverse, type Matrix3 } from './matrix.js'

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
/** px²: farther off it is no way back. */
const FAR = 1e-12

/** Where (x, y) of the reference frame is carried. */
export function bentAt(motion: BentMotion, x: number, y: number): [number, number] {
  const out = new Float64Array(6)
  carrying(motion)(x, y, out)
  return [out[0] as number, out[1] as number]
}

/** What place of the reference frame is carried to (x, y); undefined where none is found. */
export function unbentAt(motion: BentMotion, x: number, y: number): [number, number] | undefined {
  const out = new Float64Array(2)
  return unbending(motion)(x, y, out) ? [out[0] as number, out[1] as number] : undefined
}

/** Where a place is carried, and how a step there is: x′, y′, ∂x′/∂x, ∂x′/∂y, ∂y′/∂x, ∂y′/∂y. */
type Carry = (x: number, y: number, out: Float64Array) => void

/**
 * The way back for many places: a map asks for every node of a picture, so no step makes an array.
 *
 * @returns puts the place of the reference frame that is carried to (x, y) into `out`; false where none is found
 */
export function unbending(motion: BentMotion): (x: number, y: number, out: Float64Array) => boolean {
  const [a, b, c, d, e, f, g, h, i] = inverse(motion.matrix)
  const carry = carrying(motion)
  const now = new Float64Array(6)
  return (x, y, out) => {
    const w = g * x + h * y + i
    let p = (a * x + b * y + c) / w
    let q = (d * x + e * y + f) / w
    carry(p, q, now)
    let ex = x - (now[0] as number)
    let ey = y - (now[1] as number)
    for (let step = 0; step < MOST_STEPS; step++) {
      const xx = now[2] as number
      const xy = now[3] as number
      const yx = now[4] as number
      const yy = now[5] as number
      const area = xx * yy - xy * yx
      if (area === 0 || !Number.isFinite(area)) return false
      let stepX = (ex * yy - ey * xy) / area
      let stepY = (ey * xx - ex * yx) / area
      const before = ex * ex + ey * ey
      carry(p + stepX, q + stepY, now)
      ex = x - (now[0] as number)
      ey = y - (now[1] as number)
      for (let k = 0; k < MOST_HALVINGS && ex * ex + ey * ey > before; k++) {
        stepX /= 2
        stepY /= 2
        carry(p + stepX, q + stepY, now)
        ex = x - (now[0] as number)
        ey = y - (now[1] as number)
      }
      p += stepX
      q += stepY
      if (Math.abs(stepX) + Math.abs(stepY) < LAST_STEP) {
        out[0] = p
        out[1] = q
        return ex * ex + ey * ey < FAR
      }
    }
    return false
  }
}

function carrying({ matrix, mesh, nodes }: BentMotion): Carry {
  const [a, b, c, d, e, f, g, h, i] = matrix
  const { x: left, y: top, width, height, columns, rows } = mesh
  return (x, y, out) => {
    const w = g * x + h * y + i
    const u = (a * x + b * y + c) / w
    const v = (d * x + e * y + f) / w
    const across = ((x - left) / width) * (columns - 1)
    const down = ((y - top) / height) * (rows - 1)
    const heldX = Math.min(Math.max(across, 0), columns - 1)
    const heldY = Math.min(Math.max(down, 0), rows - 1)
    const column = Math.min(Math.floor(heldX), columns - 2)
    const row = Math.min(Math.floor(heldY), rows - 2)
    const s = heldX - column
    const t = heldY - row
    const sx = across === heldX ? (columns - 1) / width : 0
    const sy = down === heldY ? (rows - 1) / height : 0
    const node = 2 * (row * columns + column)
    const below = node + 2 * columns
    const upperX = nodes[node + 2] as number
    const upperY = nodes[node + 3] as number
    const lowerX = nodes[below + 2] as number
    const lowerY = nodes[below + 3] as number
    const px = nodes[node] as number
    const py = nodes[node + 1] as number
    const qx = nodes[below] as number
    const qy = nodes[below + 1] as number
    const topX = px + s * (upperX - px)
    const topY = py + s * (upperY - py)
    const endX = qx + s * (lowerX - qx)
    const endY = qy + s * (lowerY - qy)
    out[0] = u + (topX + t * (endX - topX))
    out[1] = v + (topY + t * (endY - topY))
    out[2] = (a - u * g) / w + ((1 - t) * (upperX - px) + t * (lowerX - qx)) * sx
    out[3] = (b - u * h) / w + (endX - topX) * sy
    out[4] = (d - v * g) / w + ((1 - t) * (upperY - py) + t * (lowerY - qy)) * sx
    out[5] = (e - v * h) / w + (endY - topY) * sy
  }
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
