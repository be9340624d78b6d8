/**
 * A camera with noise of a known law: σ² = a·L + b in light, neighbours correlated by taps [w 1 w] both ways, a share of it common to
 * the channels, of it, if asked for, a share in blotches many pixels wide (`blotched.ts`); then the curve (IEC 61966-2-1), eight bits, and on the 4:2:0 path chroma at half the size and back.
 *
 *   ρ₁ = 2w / (1 + 2w²)      ρ₂ = w² / (1 + 2w²)
 *
 * BT.709 luma and chroma, studio range; chroma means of 2×2 and back by linear interpolation (weights 9, 3, 3, 1).
 */
import type { ColourEncoding, FloatImage, PixelLayout, Rgb } from '../../src/core/index.js'
import { chance, normal } from '../worlds/chance.js'
import { type Blotched, blotches } from './blotched.js'

export type Path = 'rgb' | '420'

const encode = (v: number) => (v <= 0.0031308 ? 12.92 * v : 1.055 * v ** (1 / 2.4) - 0.055)
const decode = (v: number) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)
/** Slope of the curve at white, code values of 255 per unit of light. */
const WHITE = (255 * 1.055) / 2.4

export interface Camera {
  readonly a: number
  readonly b: number
  /** Correlation with the next pixel, both axes alike, and between channels. */
  readonly lag: number
  readonly shared: number
  readonly layout: PixelLayout
  readonly encoding: ColourEncoding
  /** Linear light to linear light. */
  film(scene: FloatImage, seed: number): FloatImage
  /** The same of an even field, without rounding: the noise alone, R, G, B in turn. */
  even(colour: Rgb, seed: number): Float64Array
}

export function camera(draw: number, path: Path, coarse?: Blotched): Camera {
  const sigma = 0.7 * (4 / 0.7) ** chance(41, draw)
  const a = (sigma / WHITE) ** 2
  const b = a * 0.2 * chance(42, draw)
  const w = 0.5 * chance(43, draw)
  const shared = 0.6 * chance(44, draw)
  const film = (scene: FloatImage, seed: number, whole = true) => {
    const { width, height } = scene.region
    const noise = field(width, height, w, shared, seed)
    if (coarse !== undefined) blotches(noise, width, height, coarse, seed)
    const light = scene.data.map((v, i) =>
      i % 4 === 3 ? 1 : v + Math.sqrt(a * Math.max(v, 0) + b) * noise[3 * (i >> 2) + (i % 4)]!,
    )
    const codes = light.map((v, i) => (i % 4 === 3 ? 1 : encode(Math.min(Math.max(v, 0), 1))))
    const kept =
      path === 'rgb'
        ? codes.map((v) => (whole ? Math.round(255 * v) / 255 : v))
        : subsampled(codes, width, height, whole)
    return {
      region: scene.region,
      data: kept.map((v, i) => (i % 4 === 3 ? 1 : decode(Math.min(Math.max(v, 0), 1)))),
    }
  }
  return {
    ...{ a, b, shared, lag: (2 * w) / (1 + 2 * w * w), film },
    layout: {
      family: path === 'rgb' ? 'rgb' : 'yuv',
      bits: 8,
      float: false,
      subX: path === 'rgb' ? 0 : 1,
      subY: path === 'rgb' ? 0 : 1,
      alpha: false,
    },
    encoding: encodingOf(path),
    even: (colour, seed) => {
      const side = 128
      const scene = {
        region: { x: 0, y: 0, width: side, height: side },
        data: new Float32Array(4 * side * side),
      }
      for (let i = 0; i < scene.data.length; i++) scene.data[i] = i % 4 === 3 ? 1 : colour[i % 4]!
      const { data } = film(scene, seed, false)
      return Float64Array.from({ length: 3 * side * side }, (_, i) => data[4 * Math.floor(i / 3) + (i % 3)]!)
    },
  }
}

function encodingOf(path: Path): ColourEncoding {
  return {
    curve: 'srgb',
    primaries: 'bt709',
    matrix: path === 'rgb' ? 'rgb' : 'bt709',
    range: path === 'rgb' ? 'full' : 'limited',
    siting: 'centre',
  } as ColourEncoding
}

/** Unit variance, R, G, B in turn. */
function field(width: number, height: number, w: number, shared: number, seed: number): Float32Array {
  const wide = width + 2
  const white = new Float32Array(3 * wide * (height + 2))
  for (let i = 0; i < white.length; i += 3) {
    const common = Math.sqrt(shared) * normal(seed, i, 3)
    for (let c = 0; c < 3; c++) white[i + c] = common + Math.sqrt(1 - shared) * normal(seed, i, c)
  }
  const norm = 1 / (1 + 2 * w * w)
  const out = new Float32Array(3 * width * height)
  const line = 3 * wide
  for (let y = 0, o = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      for (let c = 0; c < 3; c++, o++) {
        const i = (y + 1) * line + 3 * (x + 1) + c
        const row = (k: number) => w * white[k - 3]! + white[k]! + w * white[k + 3]!
        out[o] = norm * (w * row(i - line) + row(i) + w * row(i + line))
      }
    }
  }
  return out
}

const [KR, KG, KB] = [0.2126, 0.7152, 0.0722]

function subsampled(codes: Float32Array, width: number, height: number, whole: boolean): Float32Array {
  const round = (v: number, steps: number) => (whole ? Math.round(v * steps) / steps : v)
  const [w, h] = [Math.ceil(width / 2), Math.ceil(height / 2)]
  const chroma = [new Float64Array(w * h), new Float64Array(w * h)] as const
  const luma = new Float64Array(width * height)
  const count = new Float64Array(w * h)
  for (let p = 0; p < luma.length; p++) {
    const [r, g, b] = [codes[4 * p]!, codes[4 * p + 1]!, codes[4 * p + 2]!]
    const y = KR * r + KG * g + KB * b
    const k = Math.floor(Math.floor(p / width) / 2) * w + Math.floor((p % width) / 2)
    luma[p] = round(y, 219)
    chroma[0][k] = chroma[0][k]! + (b - y) / (2 * (1 - KB))
    chroma[1][k] = chroma[1][k]! + (r - y) / (2 * (1 - KR))
    count[k] = count[k]! + 1
  }
  for (const plane of chroma)
    for (let k = 0; k < plane.length; k++) plane[k] = round(plane[k]! / count[k]!, 224)
  const between = (plane: Float64Array, x: number, y: number) => {
    const at = (v: number, n: number) => Math.min(Math.max(v, 0), n - 1)
    const [i, j] = [(x - 0.5) / 2, (y - 0.5) / 2]
    const [l, t] = [Math.floor(i), Math.floor(j)]
    const of = (u: number, v: number) => plane[at(v, h) * w + at(u, w)]!
    const [p, q] = [i - l, j - t]
    return (
      (1 - q) * ((1 - p) * of(l, t) + p * of(l + 1, t)) + q * ((1 - p) * of(l, t + 1) + p * of(l + 1, t + 1))
    )
  }
  const out = new Float32Array(codes.length)
  for (let p = 0; p < luma.length; p++) {
    const [x, y] = [p % width, Math.floor(p / width)]
    const [cb, cr] = [between(chroma[0], x, y), between(chroma[1], x, y)]
    const r = luma[p]! + 2 * (1 - KR) * cr
    const b = luma[p]! + 2 * (1 - KB) * cb
    out.set([r, (luma[p]! - KR * r - KB * b) / KG, b, 1], 4 * p)
  }
  return out
}
