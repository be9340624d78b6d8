/** Random numbers of the tests' own: mulberry32 (public domain, from memory) and Box–Muller; owes nothing to `src`. */
export function uniforms(seed: number): () => number {
  let s = seed >>> 0
  return () => {
    s = (s + 0x6d2b79f5) >>> 0
    let t = Math.imul(s ^ (s >>> 15), s | 1)
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61)
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32
  }
}

export function normals(seed: number): () => number {
  const u = uniforms(seed)
  return () => Math.sqrt(-2 * Math.log(1 - u())) * Math.cos(2 * Math.PI * u())
}

/**
 * A field of unit variance: white noise through the taps [k, 1, k] along x and along y. Correlation with the next pixel
 * ρ₁ = 2k / (1 + 2k²), with the one after ρ₂ = k² / (1 + 2k²): .667 and .167 at k = ½.
 */
export function grainField(seed: number, width: number, height: number, k: number): Float32Array {
  const next = normals(seed)
  const w = width + 2
  const white = Float32Array.from({ length: w * (height + 2) }, next)
  const scale = 1 / (1 + 2 * k * k)
  const out = new Float32Array(width * height)
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      let sum = 0
      for (let v = 0; v < 3; v++)
        for (let u = 0; u < 3; u++)
          sum += (u === 1 ? 1 : k) * (v === 1 ? 1 : k) * (white[(y + v) * w + x + u] as number)
      out[y * width + x] = sum * scale
    }
  }
  return out
}

/** Smooth noise in 0 … 1 of `cell` pixels, moving by (dx, dy): random values on a grid, cosine between. */
export function clouds(seed: number, cell: number): (x: number, y: number) => number {
  const at = (i: number, j: number) => uniforms(seed * 31 + i * 7919 + j * 104729)()
  const ease = (t: number) => t * t * (3 - 2 * t)
  return (x, y) => {
    const u = x / cell
    const v = y / cell
    const i = Math.floor(u)
    const j = Math.floor(v)
    const s = ease(u - i)
    const t = ease(v - j)
    return (
      (at(i, j) * (1 - s) + at(i + 1, j) * s) * (1 - t) + (at(i, j + 1) * (1 - s) + at(i + 1, j + 1) * s) * t
    )
  }
}
