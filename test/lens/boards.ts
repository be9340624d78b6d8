/** Flat patterns painted as a lens with known distortion sees them: many samples a pixel, the lens's equation solved by repetition. */
import { normal } from '../worlds/chance.js'

/** k1, k2, p1, p2 of [brown1971] in focal lengths; middle and focal length in pixels, edges at whole numbers. */
export interface Camera {
  readonly width: number
  readonly height: number
  readonly focal: number
  readonly middle: readonly [number, number]
  readonly terms: readonly [number, number, number, number]
}

/** Grey, 0 to 255, of a place on the pattern, in its steps about its middle. */
export type Pattern = (x: number, y: number) => number

/** Tilts about the picture's axes in degrees, and where the pattern's middle stands, in its steps. */
export interface Pose {
  readonly tilt: readonly [number, number, number]
  readonly at: readonly [number, number, number]
}

export const squares =
  (columns: number, rows: number): Pattern =>
  (x, y) => {
    const [i, j] = [Math.floor(x + columns / 2), Math.floor(y + rows / 2)]
    if (i < 0 || j < 0 || i >= columns || j >= rows) return 210
    return (i + j) % 2 === 0 ? 30 : 210
  }

export const discs =
  (columns: number, rows: number): Pattern =>
  (x, y) => {
    const [u, v] = [x + (columns - 1) / 2, y + (rows - 1) / 2]
    const [i, j] = [Math.round(u), Math.round(v)]
    if (i < 0 || j < 0 || i >= columns || j >= rows) return 210
    return (u - i) ** 2 + (v - j) ** 2 < 0.28 ** 2 ? 30 : 210
  }

const SAMPLES = 3

/** 8-bit greys with noise of one code value. */
export function painted(camera: Camera, pattern: Pattern, pose: Pose, seed: number): Float32Array {
  const out = new Float32Array(camera.width * camera.height)
  const onto = plane(pose)
  const rays = raysOf(camera)
  for (let o = 0; o < out.length; o++) {
    let sum = 0
    for (let k = 0; k < SAMPLES ** 2; k++) {
      const at = 2 * (SAMPLES ** 2 * o + k)
      sum += pattern(...onto(rays[at]!, rays[at + 1]!))
    }
    const v = sum / SAMPLES ** 2 + normal(seed, o)
    out[o] = Math.min(255, Math.max(0, Math.round(v)))
  }
  return out
}

const known = new Map<Camera, Float64Array>()

/** Slopes of sight of every sample of every pixel, right and down. */
function raysOf(camera: Camera): Float64Array {
  const before = known.get(camera)
  if (before !== undefined) return before
  const { width, height, focal, middle, terms } = camera
  const [k1, k2, p1, p2] = terms
  const rays = new Float64Array(2 * SAMPLES ** 2 * width * height)
  for (let at = 0; at < rays.length; at += 2) {
    const [o, k] = [Math.floor(at / 2 / SAMPLES ** 2), (at / 2) % SAMPLES ** 2]
    const xd = ((o % width) + ((k % SAMPLES) + 0.5) / SAMPLES - middle[0]) / focal
    const yd = (Math.floor(o / width) + (Math.floor(k / SAMPLES) + 0.5) / SAMPLES - middle[1]) / focal
    let [x, y] = [xd, yd]
    for (let i = 0; i < 12; i++) {
      const r2 = x * x + y * y
      const radial = 1 + k1 * r2 + k2 * r2 * r2
      const [u, v] = [x, y]
      x = (xd - 2 * p1 * u * v - p2 * (r2 + 2 * u * u)) / radial
      y = (yd - p1 * (r2 + 2 * v * v) - 2 * p2 * u * v) / radial
    }
    rays[at] = x
    rays[at + 1] = y
  }
  known.set(camera, rays)
  return rays
}

/** From a slope of sight to the pattern's plane. */
function plane({ tilt, at }: Pose): (x: number, y: number) => [number, number] {
  const [a, b, c] = tilt.map((d) => (d * Math.PI) / 180) as [number, number, number]
  const [ca, sa, cb, sb, cc, sc] = [
    Math.cos(a),
    Math.sin(a),
    Math.cos(b),
    Math.sin(b),
    Math.cos(c),
    Math.sin(c),
  ]
  // Turned about z, then y, then x: columns are the pattern's own axes.
  const right = [cb * cc, ca * sc + sa * sb * cc, sa * sc - ca * sb * cc]
  const down = [-cb * sc, ca * cc - sa * sb * sc, sa * cc + ca * sb * sc]
  const out = [sb, -sa * cb, ca * cb]
  const dot = (p: readonly number[], q: readonly number[]) => p[0]! * q[0]! + p[1]! * q[1]! + p[2]! * q[2]!
  const away = dot(at, out)
  return (x, y) => {
    const t = away / dot([x, y, 1], out)
    const p = [t * x - at[0], t * y - at[1], t - at[2]]
    return [dot(p, right), dot(p, down)]
  }
}
