/** Camera and still curves of the worlds' files and the way into 4:2:0. Sources: [bt709], [iec61966-2-1]. */

/** BT.709 camera curve with the exact constants, mirrored below 0. */
export function bt709(l: number): number {
  if (l < 0) return -bt709(-l)
  return l < 0.018053968510807 ? 4.5 * l : 1.09929682680944 * l ** 0.45 - 0.09929682680944
}

export function bt709Back(v: number): number {
  if (v < 0) return -bt709Back(-v)
  return v < 4.5 * 0.018053968510807 ? v / 4.5 : ((v + 0.09929682680944) / 1.09929682680944) ** (1 / 0.45)
}

export function srgb(l: number): number {
  return l <= 0.0031308 ? 12.92 * l : 1.055 * l ** (1 / 2.4) - 0.055
}

export function srgbBack(v: number): number {
  return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4
}

/** A table of a curve over [0, top]: exact to 1e-5 of full scale, faster than a power a sample. */
export function tableOf(curve: (v: number) => number, top: number): (v: number) => number {
  const n = 1 << 15
  const table = new Float32Array(n + 2)
  // Square-root spacing: steps are fine where the curves are steep.
  for (let i = 0; i <= n + 1; i++) table[i] = curve(top * (i / n) ** 2)
  return (v) => {
    if (!(v > 0)) return v < 0 ? curve(v) : table[0]
    if (v >= top) return table[n]
    const p = Math.sqrt(v / top) * n
    const k = p | 0
    return table[k] + (p - k) * (table[k + 1] - table[k])
  }
}

/**
 * R′G′B′ (0 to 1 nominal, interleaved) to limited-range BT.709 4:2:0, chroma sited left: Cb and Cr are averaged over
 * two rows and 1-2-1 over three columns. Rounded to the nearest code, kept within the codes that carry picture.
 */
export function to420(rgb: Float32Array, width: number, height: number, bits: 8 | 10): Buffer {
  const n = width * height
  const cw = width >> 1
  const ch = height >> 1
  const deep = bits === 10
  const buffer = Buffer.alloc((n + 2 * cw * ch) * (deep ? 2 : 1))
  const out = deep ? new Uint16Array(buffer.buffer, buffer.byteOffset, n + 2 * cw * ch) : buffer
  const unit = deep ? 4 : 1
  const low = deep ? 4 : 1
  const high = deep ? 1019 : 254
  const cb = new Float32Array(n)
  const cr = new Float32Array(n)
  for (let i = 0; i < n; i++) {
    const r = rgb[3 * i]
    const g = rgb[3 * i + 1]
    const b = rgb[3 * i + 2]
    const y = 0.2126 * r + 0.7152 * g + 0.0722 * b
    cb[i] = (b - y) / 1.8556
    cr[i] = (r - y) / 1.5748
    out[i] = clamp((219 * y + 16) * unit, low, high)
  }
  for (let y = 0; y < ch; y++) {
    for (let x = 0; x < cw; x++) {
      const a = 2 * y * width + 2 * x
      const l = x === 0 ? a : a - 1
      const r = a + 1
      const o = n + y * cw + x
      const u = (cb[l] + 2 * cb[a] + cb[r] + cb[l + width] + 2 * cb[a + width] + cb[r + width]) / 8
      const v = (cr[l] + 2 * cr[a] + cr[r] + cr[l + width] + 2 * cr[a + width] + cr[r + width]) / 8
      out[o] = clamp((224 * u + 128) * unit, low, high)
      out[o + cw * ch] = clamp((224 * v + 128) * unit, low, high)
    }
  }
  return buffer
}

function clamp(v: number, lo: number, hi: number): number {
  const r = Math.floor(v + 0.5)
  return r < lo ? lo : Math.min(r, hi)
}
