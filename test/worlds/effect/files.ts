/**
 * The elements as they would be bought: the same event in another light, another curve, at another size, with grain of
 * their own; and the same bakes without grain or codec.
 */
import { bits, normal } from '../chance.js'
import { bt709, bt709Back, srgb, srgbBack, tableOf } from '../curves.js'
import type { Setting } from '../setting.js'
import { firePicture } from './fire-look.js'
import type { Ready } from './in-scene.js'
import { type SmokeLight, smokePicture } from './smoke-look.js'

const ALBEDO = [0.3, 0.288, 0.272]
const toSrgb = tableOf(srgb, 1)
const toVideo = tableOf(bt709, 1.2)

export function smokeFileSize(s: Setting): { width: number; height: number } {
  return { width: 2 * Math.round(400 * s.fluid), height: 2 * Math.round(450 * s.fluid) }
}

export function fireFileSize(s: Setting): { width: number; height: number } {
  return { width: 2 * Math.round(300 * s.fluid), height: 2 * Math.round(580 * s.fluid) }
}

/** Seconds of the event that an element's frame shows: its first lies in the middle of the shot's first exposure. */
export function elementTime(s: Setting, frame: number): number {
  return frame / 30 + s.shutterDeg / 360 / 48
}

export function elementFrames(s: Setting): number {
  return Math.ceil((s.frames * 30) / 24) + 1
}

/** Bought to suit: lit from the side that the plate is lit from, and softly (common practice), in a studio's own colour. */
function studio(s: Setting): SmokeLight {
  const { key, fill } = s.smokeFile
  return { above: key.map((k) => 0.55 * k), side: key.map((k) => 0.45 * k), front: fill, from: -1 }
}

/** Code value of the file for linear light `l`: printed down, lifted black. */
function smokeCode(s: Setting, l: number): number {
  const { lift } = s.smokeFile
  return lift + (1 - lift) * Math.min(1, toSrgb(Math.min(1, 0.62 * l)))
}

/** RGBA, straight, 0 to 1, noise-free. */
export function smokeFileFrame(ready: Ready, frame: number): Float32Array {
  const { s } = ready
  const p = smokePicture(ready.smoke, elementTime(s, frame), s.smoke.depth, ALBEDO, studio(s))
  const { width, height } = smokeFileSize(s)
  const out = new Float32Array(width * height * 4)
  const tau = enlarge(p.tau, p.w, p.h, 1, width, height)
  const colour = enlarge(p.colour, p.w, p.h, 3, width, height)
  for (let i = 0; i < width * height; i++) {
    for (let c = 0; c < 3; c++) out[4 * i + c] = smokeCode(s, Math.max(0, colour[3 * i + c]))
    out[4 * i + 3] = tau[i] > 0.002 ? 1 - Math.exp(-tau[i]) : 0
  }
  return out
}

/** 8-bit RGBA with grain. */
export function smokeGrain(s: Setting, clean: Float32Array, frame: number): Uint8Array {
  const out = new Uint8Array(clean.length)
  const { width } = smokeFileSize(s)
  const g = s.smokeFile.grain
  let before = [0, 0, 0]
  for (let i = 0; i < clean.length / 4; i++) {
    if (i % width === 0) before = [0, 0, 0]
    const common = table[bits(s.seed, frame, i, 5) & 4095]
    for (let c = 0; c < 3; c++) {
      const own = table[bits(s.seed, frame, i, 6 + c) & 4095]
      before[c] = 0.45 * before[c] + 0.893 * (0.7 * common + 0.714 * own)
      out[4 * i + c] = Math.min(255, Math.max(0, 255 * (clean[4 * i + c] + g * before[c]) + 0.5))
    }
    out[4 * i + 3] = 255 * clean[4 * i + 3] + 0.5
  }
  return out
}

/** R′G′B′ of the fire's file, 0 to 1, noise-free: floor, light, hard clip, camera curve. */
export function fireFileFrame(ready: Ready, frame: number): Float32Array {
  const { s } = ready
  const p = firePicture(ready.fire, elementTime(s, frame), s.fire.fileTemperature)
  const { width, height } = fireFileSize(s)
  const rgb = enlarge(p.rgb, p.w, p.h, 3, width, height)
  const floor = fireFloor(s)
  const gain = s.fire.fileLevel / ready.body
  for (let i = 0; i < rgb.length; i++) {
    rgb[i] = Math.min(1, Math.max(0, toVideo(floor[i % 3] + gain * Math.max(0, rgb[i]))))
  }
  return rgb
}

/** Grain of the fire's file, in code values. */
export function fireGrain(s: Setting, clean: Float32Array, frame: number): Float32Array {
  const out = new Float32Array(clean.length)
  const g = s.fireFile.grain
  const { width } = fireFileSize(s)
  let before = [0, 0, 0]
  for (let i = 0; i < clean.length / 3; i++) {
    if (i % width === 0) before = [0, 0, 0]
    for (let c = 0; c < 3; c++) {
      before[c] = 0.4 * before[c] + 0.917 * table[bits(s.seed + 1, frame, i, c) & 4095]
      out[3 * i + c] = Math.min(1, Math.max(0, clean[3 * i + c] + g * before[c]))
    }
  }
  return out
}

/** Linear floor of the fire's file. */
export function fireFloor(s: Setting): number[] {
  return s.fireFile.floor.map((v) => bt709Back((v * 255 - 16) / 219))
}

/** Linear light of a code value of the smoke's file. */
export function smokeLinear(code: number): number {
  return srgbBack(code)
}

const table = new Float32Array(4096)
for (let i = 0; i < 4096; i++) table[i] = normal(4711, i)

/** Cubic enlargement through the samples [keys1981], edges held. */
function enlarge(
  a: Float32Array,
  w: number,
  h: number,
  channels: number,
  width: number,
  height: number,
): Float32Array {
  const wide = new Float32Array(width * h * channels)
  const tx = taps(w, width)
  for (let y = 0; y < h; y++) {
    for (let x = 0; x < width; x++) {
      for (let c = 0; c < channels; c++) {
        let sum = 0
        for (let k = 0; k < 4; k++) sum += tx.weight[4 * x + k] * a[(y * w + tx.at[4 * x + k]) * channels + c]
        wide[(y * width + x) * channels + c] = sum
      }
    }
  }
  const out = new Float32Array(width * height * channels)
  const ty = taps(h, height)
  const line = width * channels
  for (let y = 0; y < height; y++) {
    const [p, q, r, t] = [0, 1, 2, 3].map((k) => ty.at[4 * y + k] * line)
    const [a0, a1, a2, a3] = [0, 1, 2, 3].map((k) => ty.weight[4 * y + k])
    for (let x = 0; x < line; x++) {
      out[y * line + x] = a0 * wide[p + x] + a1 * wide[q + x] + a2 * wide[r + x] + a3 * wide[t + x]
    }
  }
  return out
}

function taps(from: number, to: number): { at: Int32Array; weight: Float64Array } {
  const at = new Int32Array(4 * to)
  const weight = new Float64Array(4 * to)
  for (let i = 0; i < to; i++) {
    const p = ((i + 0.5) * from) / to - 0.5
    const k = Math.floor(p)
    const f = p - k
    for (let j = 0; j < 4; j++) at[4 * i + j] = Math.min(from - 1, Math.max(0, k - 1 + j))
    weight[4 * i] = 0.5 * (-f + 2 * f * f - f * f * f)
    weight[4 * i + 1] = 0.5 * (2 - 5 * f * f + 3 * f * f * f)
    weight[4 * i + 2] = 0.5 * (f + 4 * f * f - 3 * f * f * f)
    weight[4 * i + 3] = 0.5 * (-f * f + f * f * f)
  }
  return { at, weight }
}
