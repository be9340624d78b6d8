/**
 * How far an element's own motion is blurred on where it was filmed with a shorter shutter than the plate's.
 *
 *   θ² = max(θₚ² − (θₑ/q)², 0)      s = q · θ / 360
 *
 *   θₚ  the plate's angle  °    θₑ  the element's own  °    q  frames of the element that pass on one of the plate
 *   θ   the angle of the blur that is added, of the plate's turn  °    s  the same in frames of the element
 *
 * Two straight streaks one after the other are as wide as one whose square is the sum of theirs: variances add. Their shape is a
 * trapezium then and no box. Source: variance of a box, L²/12; common practice.
 */
import { type StreakMap, streakMap } from '../../../kernels/index.js'

/** Degrees of the plate's turn. */
export function topUpAngle(plateDeg: number, ownDeg: number, framesAFrame: number): number {
  return Math.sqrt(Math.max(plateDeg ** 2 - (ownDeg / framesAFrame) ** 2, 0))
}

/** Where everything in a picture of an element comes from and goes to, px a frame of its file. */
export interface OwnMotion {
  /** Of the file's picture. */
  readonly width: number
  readonly height: number
  /** Pixels between nodes; the first lies half of that from the corner. */
  readonly step: number
  readonly columns: number
  readonly rows: number
  /** Planes of `columns · rows`: x and y of the way to the frame before, then to the next one. */
  readonly ways: Float32Array
}

/** Pixels between nodes of the streak: a flow is smoother than that. */
const STEP = 8

/**
 * Ways over which a picture of the element is blurred; undefined where nothing in it moves.
 *
 * @param open frames of the element
 * @param size of the picture, which may be a smaller one of the file's
 */
export function ownStreak(
  motion: OwnMotion,
  open: number,
  { width, height }: { readonly width: number; readonly height: number },
): StreakMap | undefined {
  const factor = width / motion.width
  const at = lookUp(motion)
  const way = new Float64Array(4)
  return streakMap({ x: 0, y: 0, width, height }, STEP, (x, y, out) => {
    at((x - width / 2) / factor + motion.width / 2, (y - height / 2) / factor + motion.height / 2, way)
    // What goes on to the next frame lies behind, in the middle's picture, at the end.
    for (let c = 0; c < 4; c++) out[c] = (-open / 2) * factor * (way[c] as number)
  })
}

/** Linear between nodes, held outside. */
export function lookUp({
  step,
  columns,
  rows,
  ways,
}: OwnMotion): (x: number, y: number, out: Float64Array) => void {
  const nodes = columns * rows
  return (x, y, out) => {
    const u = Math.min(Math.max(x / step - 0.5, 0), columns - 1)
    const v = Math.min(Math.max(y / step - 0.5, 0), rows - 1)
    const [i, j] = [Math.floor(u), Math.floor(v)]
    const [right, below] = [i < columns - 1 ? 1 : 0, j < rows - 1 ? columns : 0]
    const [a, b] = [u - i, v - j]
    for (let c = 0, n = j * columns + i; c < 4; c++, n += nodes) {
      const upper = (1 - a) * (ways[n] as number) + a * (ways[n + right] as number)
      const lower = (1 - a) * (ways[n + below] as number) + a * (ways[n + below + right] as number)
      out[c] = (1 - b) * upper + b * lower
    }
  }
}
