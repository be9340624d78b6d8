/** What the planes and the bush look like: pictures made once, looked up for every ray. Linear light. */
import { fbm, mix, noise, step } from '../chance.js'
import { DEPTHS, type Depth, type DepthsSetting } from './setting.js'

/** A picture over part of a plane. */
export interface Texture {
  readonly width: number
  readonly height: number
  /** Corner and size of a texel, in the plane's own unit. */
  readonly left: number
  readonly top: number
  readonly unit: number
  /** R, G, B premultiplied by A, and A. */
  readonly data: Float32Array
}

/** Texels a pixel. */
const FINE = 2
/** Share of the picture's width that planes reach beyond it. */
const MARGIN = 0.45

type Paint = (x: number, y: number, out: Float32Array) => void

function textured(
  width: number,
  height: number,
  left: number,
  top: number,
  unit: number,
  paint: Paint,
): Texture {
  const data = new Float32Array(4 * width * height)
  const out = new Float32Array(4)
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      paint(left + (x + 0.5) * unit, top + (y + 0.5) * unit, out)
      data.set(out, 4 * (y * width + x))
    }
  }
  return { width, height, left, top, unit, data }
}

/** A plane in metres, as large as it can come into the picture. */
export function planeTexture(s: DepthsSetting, which: Depth): Texture {
  const unit = DEPTHS[which] / s.focalPx / FINE
  const width = Math.ceil(s.width * (1 + 2 * MARGIN) * FINE)
  const height = Math.ceil(s.height * (1 + 2 * MARGIN) * FINE)
  return textured(width, height, (-width / 2) * unit, (-height / 2) * unit, unit, PAINTS[which](s))
}

const PAINTS: Readonly<Record<Depth, (s: DepthsSetting) => Paint>> = {
  // A ledge of stone across the lower part.
  near: (s) => (x, y, out) => {
    const edge = 0.22 + 0.015 * noise(4 * x, s.seed, 0.3)
    const grain = fbm(14 * x, 14 * y, s.seed + 0.1, 4)
    const v = 0.16 + 0.1 * grain
    solid(out, step(edge - 0.003, edge + 0.003, y), 1.05 * v, v, 0.86 * v)
  },
  // A plastered wall on the right.
  middle: (s) => (x, y, out) => {
    const edge = 0.95
    const stain = fbm(3 * x, 3 * y, s.seed + 7.1, 4)
    const crack = step(0.1, 0.0, Math.abs(noise(5 * x, 4 * y, s.seed + 3.3)))
    const v = 0.34 + 0.14 * stain - 0.12 * crack
    solid(out, step(edge - 0.006, edge + 0.006, x), 1.1 * v, 0.98 * v, 0.84 * v)
  },
  // A hillside under the sky.
  far: (s) => (x, y, out) => {
    const ridge = -1.9 + 0.7 * fbm(0.22 * x, s.seed, 1.7, 3)
    const trees = fbm(1.3 * x, 1.3 * y, s.seed + 11.9, 4)
    const hill = 0.15 + 0.09 * trees
    const sky = 0.62 - 0.02 * y
    const t = step(ridge - 0.05, ridge + 0.05, y)
    solid(out, 1, mix(0.9 * sky, 0.85 * hill, t), mix(sky, hill, t), mix(1.12 * sky, 0.8 * hill, t))
  },
}

/** A layer of the bush over its picture from the first frame, pixels of the plate. */
export function bushTexture(s: DepthsSetting, layer: 0 | 1): Texture {
  const { left, top, size } = s.bush
  const unit = 1 / (2 * FINE)
  const n = Math.ceil(size / unit)
  return textured(n, n, left, top, unit, (px, py, out) => {
    const [x, y] = [(px - left - size / 2) / size, (py - top - size / 2) / size]
    const leaves = fbm(7 * x, 7 * y, s.seed + 31.3 * (layer + 1), 3)
    const r = Math.sqrt(x * x + y * y * 1.1)
    const inside = layer === 0 ? 0.3 - r : 0.4 - r
    // Nothing reaches its picture's border.
    const a = step(-0.02, 0.05, inside + 0.16 * leaves) * step(0.48, 0.44, Math.max(Math.abs(x), Math.abs(y)))
    const light = fbm(10 * x, 10 * y, s.seed + 17.7 * (layer + 1), 3)
    const v = (layer === 0 ? 0.22 : 0.1) * (1 + 0.5 * light)
    solid(out, a, 0.75 * v, v, 0.4 * v)
  })
}

function solid(out: Float32Array, a: number, r: number, g: number, b: number): void {
  out[0] = a * Math.max(r, 0.01)
  out[1] = a * Math.max(g, 0.01)
  out[2] = a * Math.max(b, 0.01)
  out[3] = a
}

/** Lays what is there at (x, y) under what `out` holds already. */
export function layUnder(t: Texture, x: number, y: number, out: Float32Array): void {
  const u = (x - t.left) / t.unit - 0.5
  const v = (y - t.top) / t.unit - 0.5
  const i = Math.floor(u)
  const j = Math.floor(v)
  if (i < 0 || j < 0 || i >= t.width - 1 || j >= t.height - 1) return
  const a = u - i
  const b = v - j
  const k = 4 * (j * t.width + i)
  const below = k + 4 * t.width
  const open = 1 - out[3]
  const d = t.data
  for (let c = 0; c < 4; c++) {
    const above = d[k + c] + a * (d[k + 4 + c] - d[k + c])
    const under = d[below + c] + a * (d[below + 4 + c] - d[below + c])
    out[c] += open * (above + b * (under - above))
  }
}
