/** A plate's lightness as edges and corners are looked for in it: smoothing, slopes, values between pixels. */

/** Lightness in code values of 8 bits, row by row. */
export interface LightPicture {
  readonly width: number
  readonly height: number
  readonly values: Float32Array
}

/** Smoothed by a gaussian; beyond the border the last value stands. @param sigma px, above 0 */
export function smoothed({ width, height, values }: LightPicture, sigma: number): LightPicture {
  const radius = Math.ceil(3 * sigma)
  const taps = Array.from({ length: 2 * radius + 1 }, (_, i) => gauss(i - radius, sigma))
  const sum = taps.reduce((a, b) => a + b)
  const weights = Float64Array.from(taps, (t) => t / sum)
  const across = new Float32Array(values.length)
  const out = new Float32Array(values.length)
  const line = new Float64Array(Math.max(width, height) + 2 * radius)
  const pass = (from: Float32Array, to: Float32Array, start: number, step: number, count: number) => {
    for (let i = 0; i < count + 2 * radius; i++) {
      const at = Math.min(Math.max(i - radius, 0), count - 1)
      line[i] = from[start + step * at] as number
    }
    for (let i = 0; i < count; i++) {
      let v = 0
      for (let k = 0; k < weights.length; k++) v += (weights[k] as number) * (line[i + k] as number)
      to[start + step * i] = v
    }
  }
  for (let y = 0; y < height; y++) pass(values, across, y * width, 1, width)
  for (let x = 0; x < width; x++) pass(across, out, x, width, height)
  return { width, height, values: out }
}

function gauss(x: number, sigma: number): number {
  // A polynomial's power instead of the exponential: the same bits everywhere. (1 + x²/2nσ²)⁻ⁿ with n = 64 is within 1 % of it.
  let v = 1 / (1 + (x * x) / (128 * sigma * sigma))
  for (let i = 0; i < 6; i++) v *= v
  return v
}

/** Means of whole squares of pixels. */
export function shrunk({ width, height, values }: LightPicture, by: number): LightPicture {
  if (by === 1) return { width, height, values }
  const [w, h] = [Math.floor(width / by), Math.floor(height / by)]
  const out = new Float32Array(w * h)
  for (let y = 0; y < h * by; y++) {
    for (let x = 0; x < w * by; x++) {
      const to = Math.floor(y / by) * w + Math.floor(x / by)
      out[to] = (out[to] as number) + (values[y * width + x] as number)
    }
  }
  return { width: w, height: h, values: out.map((v) => v / (by * by)) }
}

/** Between the four pixels around a place; edges at whole numbers, held at the border. */
export function valueAt({ width, height, values }: LightPicture, x: number, y: number): number {
  const u = Math.min(Math.max(x - 0.5, 0), width - 1.001)
  const v = Math.min(Math.max(y - 0.5, 0), height - 1.001)
  const [i, j] = [Math.floor(u), Math.floor(v)]
  const [s, t] = [u - i, v - j]
  const o = j * width + i
  const upper = (values[o] as number) * (1 - s) + (values[o + 1] as number) * s
  const lower = (values[o + width] as number) * (1 - s) + (values[o + width + 1] as number) * s
  return upper * (1 - t) + lower * t
}
