/**
 * Power of a window of the picture by spatial frequency and direction.
 *
 *   P(f, θ) = mean of |FFT(w · (v − v̄))|² / Σw²      w = sin²(πx/W) · sin²(πy/H)
 *
 *   f  cycles a pixel, steps of 1 / the longer side   θ  SECTORS sectors over half a turn   v̄  mean under the taper
 *
 * White noise of variance σ² has P = σ² everywhere. The taper (Hann) keeps a steep spectrum from leaking over the fine detail; it
 * mixes neighbouring frequencies by half a step (standard deviation 1/√3 of one: its lobe is 1, ¼, ¼ in power). Its noise
 * bandwidth, 1.5² steps, tells how many looks a cell holds. Source: [harris1978]. FFT: fft.js.
 */
import FFT from 'fft.js'

export const SECTORS = 8

/** Values of one channel, row by row. */
export interface Window {
  readonly width: number
  readonly height: number
  readonly values: ArrayLike<number>
}

export interface Polar {
  /** Of the window, px. */
  readonly width: number
  readonly height: number
  /** Cycles a pixel between one ring and the next; ring i lies at (i + 1) steps. */
  readonly step: number
  readonly rings: number
  /** Of sector s and ring i at s · rings + i. */
  readonly power: Float64Array
  /** How many independent looks each holds; 0 where no frequency falls into it. */
  readonly looks: Float64Array
}

/** Hann's noise bandwidth over both directions, in squared steps. */
const BANDWIDTH = 1.5 ** 2

export function polarSpectrum(window: Window): Polar {
  const { width, height } = window
  const across = powerOfTwo(width)
  const down = powerOfTwo(height)
  const power = tapered(window, across, down)
  const step = 1 / Math.max(width, height)
  const rings = Math.floor(0.5 / step)
  const sums = new Float64Array(SECTORS * rings)
  const looks = new Float64Array(SECTORS * rings)
  const each = (width * height) / (across * down) / BANDWIDTH
  for (let j = 0; j < down; j++) {
    const fy = (j < down / 2 ? j : j - down) / down
    for (let i = 0; i <= across / 2; i++) {
      // The spectrum of real values is the same on the other side.
      if ((i === 0 || i === across / 2) && fy < 0) continue
      const fx = i / across
      const ring = Math.round(Math.hypot(fx, fy) / step) - 1
      if (ring < 0 || ring >= rings) continue
      const turn = Math.atan2(fy, fx) / Math.PI + 0.5
      const cell = Math.min(Math.floor(turn * SECTORS), SECTORS - 1) * rings + ring
      sums[cell] += power[j * across + i]
      looks[cell] += each
    }
  }
  return {
    width,
    height,
    step,
    rings,
    power: sums.map((s, i) => (looks[i] > 0 ? (s * each) / looks[i] : 0)),
    looks,
  }
}

/** Middle direction of a sector, radians from the right, downwards. */
export function directionOf(sector: number): number {
  return ((sector + 0.5) / SECTORS - 0.5) * Math.PI
}

export function powerOfTwo(n: number): number {
  return 2 ** Math.ceil(Math.log2(Math.max(n, 2)))
}

const hann = (n: number) =>
  Float64Array.from({ length: n }, (_, i) => Math.sin((Math.PI * (i + 0.5)) / n) ** 2)

/** Columns 0 to half of `across`, `across` apart; sizes are powers of two. */
export function tapered({ width, height, values }: Window, across: number, down: number): Float64Array {
  const [wx, wy] = [hann(width), hann(height)]
  let mean = 0
  let weight = 0
  let energy = 0
  for (let y = 0, p = 0; y < height; y++) {
    for (let x = 0; x < width; x++, p++) {
      const w = wx[x] * wy[y]
      mean += w * values[p]
      weight += w
      energy += w * w
    }
  }
  mean /= weight
  const half = across / 2 + 1
  const rows = new Float64Array(2 * half * height)
  const along = transform(across)
  for (let y = 0; y < height; y++) {
    along.input.fill(0)
    for (let x = 0; x < width; x++) along.input[2 * x] = wx[x] * wy[y] * (values[y * width + x] - mean)
    along.run()
    for (let k = 0; k < 2 * half; k++) rows[2 * half * y + k] = along.output[k]
  }
  const power = new Float64Array(across * down)
  const up = transform(down)
  for (let x = 0; x < half; x++) {
    up.input.fill(0)
    for (let y = 0; y < height; y++) {
      up.input[2 * y] = rows[2 * (half * y + x)]
      up.input[2 * y + 1] = rows[2 * (half * y + x) + 1]
    }
    up.run()
    for (let y = 0; y < down; y++)
      power[y * across + x] = (up.output[2 * y] ** 2 + up.output[2 * y + 1] ** 2) / energy
  }
  return power
}

function transform(size: number): { input: number[]; output: number[]; run: () => void } {
  const fft = new FFT(size)
  const [input, output] = [fft.createComplexArray(), fft.createComplexArray()] as [number[], number[]]
  return { input, output, run: () => fft.transform(output, input) }
}
