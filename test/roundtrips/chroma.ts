/**
 * What a camera's 4:2:0 file leaves of a picture: noise in its codes, luma and chroma in eight bits, chroma as the mean of two by two pixels,
 * and back by a line between samples (sites in the middle of their four pixels). BT.601's full-range matrix as still pictures have it [bt601].
 */
import type { FloatImage } from '../../src/core/index.js'
import { normal } from '../worlds/chance.js'
import { decode, encode, NOISE } from './film.js'

const [KR, KG, KB] = [0.299, 0.587, 0.114] as const

/** Width and height must be even. */
export function filmedHalved({ region, data }: FloatImage, seed: number): FloatImage {
  const { width, height } = region
  const code = Array.from(data, (v, i) => 255 * encode(Math.max(v, 0)) + NOISE * normal(seed, i))
  const luma = (p: number) => KR * code[4 * p]! + KG * code[4 * p + 1]! + KB * code[4 * p + 2]!
  const whole = (v: number) => Math.min(255, Math.max(0, Math.round(v)))
  const [w, h] = [width / 2, height / 2]
  const chroma = [0, 2].map((c) =>
    Float64Array.from({ length: w * h }, (_, q) => {
      const p = 2 * (q % w) + 2 * Math.floor(q / w) * width
      const four = [p, p + 1, p + width, p + width + 1]
      const mean = four.reduce((sum, o) => sum + code[4 * o + c]! - luma(o), 0) / 4
      return whole(128 + mean / (c === 0 ? 2 - 2 * KR : 2 - 2 * KB)) - 128
    }),
  )
  const between = (plane: Float64Array, x: number, y: number) => {
    const [u, v] = [Math.max((x - 0.5) / 2, 0), Math.max((y - 0.5) / 2, 0)]
    const [i, j] = [Math.floor(u), Math.floor(v)]
    const at = (k: number, l: number) => plane[Math.min(l, h - 1) * w + Math.min(k, w - 1)]!
    const row = (l: number) => at(i, l) + (u - i) * (at(i + 1, l) - at(i, l))
    return row(j) + (v - j) * (row(j + 1) - row(j))
  }
  const out = new Float32Array(data.length)
  for (let p = 0; p < width * height; p++) {
    const [x, y] = [p % width, Math.floor(p / width)]
    const l = whole(luma(p))
    const r = l + (2 - 2 * KR) * between(chroma[0]!, x, y)
    const b = l + (2 - 2 * KB) * between(chroma[1]!, x, y)
    const g = (l - KR * r - KB * b) / KG
    out.set(
      [r, g, b].map((v) => decode(Math.min(Math.max(v, 0), 255) / 255)),
      4 * p,
    )
    out[4 * p + 3] = 1
  }
  return { region, data: out }
}
