/** Steps between straight and premultiplied colour in plain TypeScript, in single precision: what `simd.ts` must equal to the bit. */
const { fround } = Math

/** See `apply.ts`. */
export function holdAlpha(d: Float32Array, divide: boolean): void {
  for (let i = 0; i < d.length; i += 4) {
    const a = held(d[i + 3])
    d[i + 3] = a
    if (!divide || a <= 0) continue
    for (let c = 0; c < 3; c++) d[i + c] = d[i + c] / a
  }
}

/** See `apply.ts`. */
export function timesAlpha(d: Float32Array, always: boolean): void {
  for (let i = 0; i < d.length; i += 4) {
    const a = held(d[i + 3])
    d[i + 3] = a
    if (always || a > 0) for (let c = 0; c < 3; c++) d[i + c] = d[i + c] * a
  }
}

/** What is no number covers nothing. */
function held(alpha: number): number {
  return alpha > 0 ? Math.min(alpha, 1) : 0
}

/** See `apply.ts`. */
export function setAlpha(d: Float32Array, alpha: number): void {
  for (let i = 3; i < d.length; i += 4) d[i] = alpha
}

/** See `apply.ts`. */
export function alphaFromLight(d: Float32Array): void {
  for (let i = 0; i < d.length; i += 4) {
    d[i + 3] = Math.min(Math.max(Math.max(d[i], d[i + 1], d[i + 2]), 0), 1)
  }
}

/** See `apply.ts`. */
export function halveDepth(light: Float32Array, coverage: Float32Array | undefined): void {
  for (let i = 0; i < light.length; i += 4) {
    const own = light[i + 3]
    for (let c = 0; c < 4; c++) {
      const alpha = coverage === undefined ? own : coverage[i + c]
      const left = fround(Math.sqrt(Math.max(fround(1 - alpha), 0)))
      light[i + c] = c < 3 ? light[i + c] / fround(1 + left) : 1 - left
      if (coverage !== undefined) coverage[i + c] = 1 - left
    }
  }
}
