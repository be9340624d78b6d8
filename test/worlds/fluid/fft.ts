/**
 * Fast Fourier transform in place, radix 2, rows then columns. Shared by the sea and the fluid.
 *
 * Source: [cooley1965].
 */

/** Twiddles and bit reversal for one length. */
class Fft {
  readonly n: number
  private readonly cos: Float64Array
  private readonly sin: Float64Array
  private readonly order: Uint32Array

  /** @param n a power of two */
  constructor(n: number) {
    this.n = n
    this.cos = new Float64Array(n / 2)
    this.sin = new Float64Array(n / 2)
    for (let i = 0; i < n / 2; i++) {
      this.cos[i] = Math.cos((2 * Math.PI * i) / n)
      this.sin[i] = Math.sin((2 * Math.PI * i) / n)
    }
    this.order = new Uint32Array(n)
    const levels = Math.log2(n)
    for (let i = 0; i < n; i++) {
      let r = 0
      for (let b = 0; b < levels; b++) r = (r << 1) | ((i >> b) & 1)
      this.order[i] = r
    }
  }

  /** Transforms one line of `n` complex numbers; `sign` −1 forward, +1 back (not scaled). */
  line(re: Float64Array, im: Float64Array, at: number, sign: number): void {
    const { n, cos, sin, order } = this
    for (let i = 0; i < n; i++) {
      const j = order[i]
      if (j > i) {
        const a = re[at + i]
        re[at + i] = re[at + j]
        re[at + j] = a
        const b = im[at + i]
        im[at + i] = im[at + j]
        im[at + j] = b
      }
    }
    // The first round has no turning in it.
    for (let p = at; p < at + n; p += 2) {
      const xr = re[p + 1]
      const xi = im[p + 1]
      re[p + 1] = re[p] - xr
      im[p + 1] = im[p] - xi
      re[p] += xr
      im[p] += xi
    }
    for (let size = 4; size <= n; size *= 2) {
      const half = size >> 1
      const stride = n / size
      for (let start = at; start < at + n; start += size) {
        for (let k = 0, t = 0; k < half; k++, t += stride) {
          const c = cos[t]
          const s = sign * sin[t]
          const p = start + k
          const q = p + half
          const xr = re[q] * c - im[q] * s
          const xi = re[q] * s + im[q] * c
          re[q] = re[p] - xr
          im[q] = im[p] - xi
          re[p] += xr
          im[p] += xi
        }
      }
    }
  }
}

/** Two-dimensional transform of a w × h field (both powers of two). */
export class Fft2 {
  readonly w: number
  readonly h: number
  private readonly row: Fft
  private readonly column: Fft
  private readonly bufRe: Float64Array
  private readonly bufIm: Float64Array

  constructor(w: number, h: number) {
    this.w = w
    this.h = h
    this.row = new Fft(w)
    this.column = new Fft(h)
    this.bufRe = new Float64Array(Math.max(w, h * 8))
    this.bufIm = new Float64Array(Math.max(w, h * 8))
  }

  run(re: Float32Array, im: Float32Array, sign: number): void {
    const { w, h, bufRe, bufIm } = this
    for (let y = 0; y < h; y++) {
      bufRe.set(re.subarray(y * w, y * w + w))
      bufIm.set(im.subarray(y * w, y * w + w))
      this.row.line(bufRe, bufIm, 0, sign)
      for (let x = 0, i = y * w; x < w; x++, i++) {
        re[i] = bufRe[x]
        im[i] = bufIm[x]
      }
    }
    // Eight columns at a time, so that a cache line read is a cache line used.
    for (let x = 0; x < w; x += 8) {
      for (let y = 0; y < h; y++) {
        for (let k = 0; k < 8; k++) {
          bufRe[k * h + y] = re[y * w + x + k]
          bufIm[k * h + y] = im[y * w + x + k]
        }
      }
      for (let k = 0; k < 8; k++) this.column.line(bufRe, bufIm, k * h, sign)
      for (let y = 0; y < h; y++) {
        for (let k = 0; k < 8; k++) {
          re[y * w + x + k] = bufRe[k * h + y]
          im[y * w + x + k] = bufIm[k * h + y]
        }
      }
    }
  }
}
