/**
 * A camera and a file's codes, written out by hand from the standards and makers' formulas: noise, curve, matrix, range,
 * subsampling. Shares no code with the program.
 */
import type { Chance } from './chance.js'
import { HEIGHT, type Picture, WIDTH } from './paint.js'

export type Curve = 'bt709' | 'srgb' | 'slog3' | 'vlog' | 'logc3' | 'pq' | 'hlg'

/** BT.709 item 1.2; IEC 61966-2-1; the makers' log papers; BT.2100 table 4 with diffuse white at 203 cd/m²; HLG white at 0.75. */
export const encode: Record<Curve, (x: number) => number> = {
  bt709: (x) => (x < 0.018 ? 4.5 * x : 1.099 * x ** 0.45 - 0.099),
  srgb: (x) => (x <= 0.0031308 ? 12.92 * x : 1.055 * x ** (1 / 2.4) - 0.055),
  slog3: (x) =>
    x >= 0.01125
      ? (420 + 261.5 * Math.log10((x + 0.01) / 0.19)) / 1023
      : ((x * (171.2102946929 - 95)) / 0.01125 + 95) / 1023,
  vlog: (x) => (x >= 0.01 ? 0.241514 * Math.log10(x + 0.00873) + 0.598206 : 5.6 * x + 0.125),
  logc3: (x) =>
    x > 0.010591 ? 0.24719 * Math.log10(5.555556 * x + 0.052272) + 0.385537 : 5.367655 * x + 0.092809,
  pq: (x) => {
    const y = (Math.max(x, 0) * 203) / 10000
    const p = y ** 0.1593017578125
    return ((0.8359375 + 18.8515625 * p) / (1 + 18.6875 * p)) ** 78.84375
  },
  hlg: (x) => {
    // Scene light with 0.75 at diffuse white 1: E = 0.26496 · x.
    const e = 0.26496 * Math.max(x, 0)
    return e <= 1 / 12 ? Math.sqrt(3 * e) : 0.17883277 * Math.log(12 * e - 0.28466892) + 0.55991073
  },
}

const WEIGHTS = { bt601: [0.299, 0.114], bt709: [0.2126, 0.0722], bt2020: [0.2627, 0.0593] } as const
export type Matrix = keyof typeof WEIGHTS

export interface Recording {
  readonly curve: Curve
  /** Variance of the sensor's noise: shot · light + read². */
  readonly shot: number
  readonly read: number
  /** Light at which the sensor is full. */
  readonly full: number
}

export const goodCamera: Recording = { curve: 'bt709', shot: 6e-5, read: 8e-4, full: 1 }

/** R′, G′, B′ as shares, not yet codes. */
export function record(light: Picture, r: Recording, chance: Chance): Float32Array {
  const out = new Float32Array(light.length)
  const table = tableOf(r.curve, r.full)
  const n = table.length - 1
  for (let i = 0; i < light.length; i++) {
    const l = light[i]
    const noise = r.shot > 0 || r.read > 0 ? cheapNormal(chance) * Math.sqrt(r.shot * l + r.read * r.read) : 0
    const v = Math.min(l + noise, r.full)
    // Below 0 a sensor's noise stays; video curves cut it off.
    if (v <= 0)
      out[i] =
        r.curve === 'bt709' || r.curve === 'srgb'
          ? Math.max(4.5 * v, -0.03)
          : encode[r.curve](Math.max(v, -0.008))
    else {
      const at = Math.cbrt(v / r.full) * n
      const k = Math.min(Math.floor(at), n - 1)
      out[i] = table[k] + (table[k + 1] - table[k]) * (at - k)
    }
  }
  return out
}

const tables = new Map<string, Float64Array>()

function tableOf(curve: Curve, full: number): Float64Array {
  const key = `${curve} ${full}`
  let t = tables.get(key)
  if (t === undefined) {
    t = Float64Array.from({ length: 2049 }, (_, i) => encode[curve]((i / 2048) ** 3 * full))
    tables.set(key, t)
  }
  return t
}

/** Four uniforms are near enough to a normal for noise in pictures. */
function cheapNormal(chance: Chance): number {
  return (chance.next() + chance.next() + chance.next() + chance.next() - 2) * 1.7320508
}

export interface Coding {
  readonly bits: 8 | 10
  readonly range: 'limited' | 'full'
  readonly matrix: Matrix
  /** 4:2:0, else 4:2:2. */
  readonly subY: boolean
}

/** Tight planes Y, Cb, Cr; 16-bit words above 8 bits. Codes beyond what the range may hold are cut off. */
export function yuv(rgb: Float32Array, c: Coding): Buffer {
  const [kr, kb] = WEIGHTS[c.matrix]
  const unit = 2 ** (c.bits - 8)
  const top = 2 ** c.bits - 1
  const [black, span, chroma] = c.range === 'full' ? [0, top, top] : [16 * unit, 219 * unit, 224 * unit]
  const n = WIDTH * HEIGHT
  const [cw, ch] = [WIDTH / 2, c.subY ? HEIGHT / 2 : HEIGHT]
  const codes = new Uint16Array(n + 2 * cw * ch)
  const cb = new Float32Array(n)
  const cr = new Float32Array(n)
  const put = (i: number, v: number) => {
    codes[i] = Math.min(Math.max(Math.round(v), 0), top)
  }
  for (let p = 0; p < n; p++) {
    const [r, g, b] = [rgb[3 * p], rgb[3 * p + 1], rgb[3 * p + 2]]
    const y = kr * r + (1 - kr - kb) * g + kb * b
    put(p, black + span * y)
    cb[p] = (b - y) / (2 * (1 - kb))
    cr[p] = (r - y) / (2 * (1 - kr))
  }
  const tall = c.subY ? 2 : 1
  for (let j = 0; j < ch; j++) {
    for (let i = 0; i < cw; i++) {
      let [sb, sr] = [0, 0]
      for (let v = 0; v < tall; v++) {
        // Sited with the left sample: a tent of one, two, one about it.
        const row = (j * tall + v) * WIDTH
        const [a, m, z] = [Math.max(2 * i - 1, 0), 2 * i, 2 * i + 1]
        sb += (cb[row + a] + 2 * cb[row + m] + cb[row + z]) / 4
        sr += (cr[row + a] + 2 * cr[row + m] + cr[row + z]) / 4
      }
      put(n + j * cw + i, 128 * unit + (chroma * sb) / tall)
      put(n + cw * ch + j * cw + i, 128 * unit + (chroma * sr) / tall)
    }
  }
  return packed(codes, c.bits)
}

export function packed(codes: Uint16Array, bits: number): Buffer {
  if (bits > 8) return Buffer.from(codes.buffer, codes.byteOffset, codes.byteLength)
  return Buffer.from(Uint8Array.from(codes))
}
