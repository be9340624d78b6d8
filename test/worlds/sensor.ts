/**
 * The sensor's noise and the camera's code values. Variance = photon·light + read; a share of it is common to the
 * channels and neighbours are correlated, as after the interpolation of a mosaic. New in every frame.
 */

import { bits } from './chance.js'
import { bt709, tableOf } from './curves.js'
import type { Setting } from './setting.js'

const curve = tableOf(bt709, 1.2)

/** R′G′B′ of linear light, cut at 0 and 1. */
export function encode(linear: Float32Array): Float32Array {
  const out = new Float32Array(linear.length)
  for (let i = 0; i < linear.length; i++) out[i] = Math.min(1, Math.max(0, curve(linear[i])))
  return out
}

/** Unit-variance noise for R, G, B, interleaved: correlated in space and between channels. */
export function noiseField(s: Setting, frame: number): Float32Array {
  const { width: w, height: h } = s
  const n = w * h
  const out = new Float32Array(3 * n)
  const common = smooth(white(s.seed, frame, 3, n), w, h, 0.2)
  const a = Math.sqrt(s.noise.shared)
  const b = Math.sqrt(1 - s.noise.shared)
  for (let c = 0; c < 3; c++) {
    const own = smooth(white(s.seed, frame, c, n), w, h, c === 1 ? 0.16 : 0.3)
    for (let i = 0; i < n; i++) out[3 * i + c] = a * common[i] + b * own[i]
  }
  return out
}

/** Linear light with noise; `from` shifts the field so that two pictures can share one. */
export function expose(s: Setting, linear: Float32Array, field: Float32Array, from: number): Float32Array {
  const out = new Float32Array(linear.length)
  const { photon, read } = s.noise
  for (let i = 0, j = from * 3; i < linear.length; i++, j++) {
    if (j >= field.length) j -= field.length
    out[i] = linear[i] + field[j] * Math.sqrt(photon * Math.max(0, linear[i]) + read)
  }
  return out
}

/** Nearly normal: four uniforms summed. */
function white(seed: number, frame: number, channel: number, n: number): Float32Array {
  const out = new Float32Array(n)
  const k = bits(seed, frame, channel, 77)
  for (let i = 0; i < n; i++) {
    let h = Math.imul(i ^ k, 0x9e3779b1)
    h ^= h >>> 15
    h = Math.imul(h, 0x85ebca77)
    h ^= h >>> 13
    h = Math.imul(h, 0xc2b2ae3d)
    h ^= h >>> 16
    let g = Math.imul(h ^ 0x2c1b3c6d, 0x27d4eb2f)
    g ^= g >>> 15
    const sum = (h & 65535) + (h >>> 16) + (g & 65535) + (g >>> 16)
    out[i] = (sum / 65536 - 2) * 1.7320508
  }
  return out
}

/** [c 1 c] along rows and columns, scaled back to unit variance. */
function smooth(a: Float32Array, w: number, h: number, c: number): Float32Array {
  const k = 1 / (1 + 2 * c * c)
  const b = new Float32Array(a.length)
  for (let y = 0; y < h; y++) {
    for (let x = 0; x < w; x++) {
      const i = y * w + x
      b[i] = a[i] + c * ((x > 0 ? a[i - 1] : a[i + 1]) + (x < w - 1 ? a[i + 1] : a[i - 1]))
    }
  }
  const out = new Float32Array(a.length)
  for (let y = 0; y < h; y++) {
    for (let x = 0; x < w; x++) {
      const i = y * w + x
      out[i] = k * (b[i] + c * ((y > 0 ? b[i - w] : b[i + w]) + (y < h - 1 ? b[i + w] : b[i - w])))
    }
  }
  return out
}
