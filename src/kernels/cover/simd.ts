// AssemblyScript: the SIMD twin of `scalar.ts`.

/** One row; `own`: variance of the layer's own grain, four floats. */
export function coverRow(
  dst: usize,
  variance: usize,
  keep: usize,
  touched: usize,
  src: usize,
  pixels: i32,
  own: usize,
): void {
  const one = f32x4.splat(1)
  const grain = v128.load(own)
  const alpha = i32x4(0, 0, 0, -1)
  for (let i = 0; i < pixels; i++, dst += 16, src += 16, variance += 16, keep += 4, touched++) {
    const s = v128.load(src)
    // NaN is not 0, so a layer that holds one is seen.
    if (!v128.any_true(f32x4.ne(s, f32x4.splat(0)))) continue
    store<u8>(touched, 1)
    const a = v128.shuffle<i32>(s, s, 3, 3, 3, 3)
    const left = f32x4.sub(one, a)
    store<f32>(keep, load<f32>(keep) * f32x4.extract_lane(left, 0))
    const light = f32x4.add(f32x4.mul(v128.load(dst), left), s)
    v128.store(dst, v128.bitselect(v128.load(dst), light, alpha))
    // Light that is only added brings its grain whole.
    const share = v128.bitselect(f32x4.mul(a, a), one, f32x4.gt(a, f32x4.splat(0)))
    const kept = f32x4.mul(f32x4.mul(v128.load(variance), left), left)
    v128.store(variance, f32x4.add(kept, f32x4.mul(grain, share)))
  }
}

/** The same where each channel has a coverage of its own: red's, green's, blue's and green's again in `alphas`. */
export function coverColouredRow(
  dst: usize,
  variance: usize,
  keep: usize,
  touched: usize,
  src: usize,
  alphas: usize,
  pixels: i32,
  own: usize,
): void {
  const one = f32x4.splat(1)
  const zero = f32x4.splat(0)
  const grain = v128.load(own)
  const alpha = i32x4(0, 0, 0, -1)
  for (let i = 0; i < pixels; i++, dst += 16, src += 16, alphas += 16, variance += 16, keep += 4, touched++) {
    const s = v128.load(src)
    const a = v128.load(alphas)
    if (!v128.any_true(v128.or(f32x4.ne(s, zero), f32x4.ne(a, zero)))) continue
    store<u8>(touched, 1)
    const left = f32x4.sub(one, a)
    store<f32>(keep, load<f32>(keep) * f32x4.extract_lane(left, 3))
    const light = f32x4.add(f32x4.mul(v128.load(dst), left), s)
    v128.store(dst, v128.bitselect(v128.load(dst), light, alpha))
    const added = v128.andnot(one, f32x4.eq(s, zero))
    const share = v128.bitselect(f32x4.mul(a, a), added, f32x4.gt(a, zero))
    const kept = f32x4.mul(f32x4.mul(v128.load(variance), left), left)
    v128.store(variance, f32x4.add(kept, f32x4.mul(grain, share)))
  }
}
