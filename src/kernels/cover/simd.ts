// AssemblyScript: the SIMD twin of `scalar.ts`.

/**
 * One row; `own`: variance of the layer's own grain, four floats. `alphas`: coverage of red, green, blue and green again, or 0
 * where the layer's own is that of every channel.
 */
export function coverRow(
  dst: usize,
  variance: usize,
  keep: usize,
  touched: usize,
  src: usize,
  alphas: usize,
  pixels: i32,
  own: usize,
): void {
  const grain = v128.load(own)
  const step: usize = alphas ? 64 : 0
  let left = pixels
  for (; left >= 4; left -= 4, dst += 64, src += 64, alphas += step, variance += 64, keep += 16, touched += 4) {
    const a = alphaOf(src, alphas, 0)
    const b = alphaOf(src, alphas, 16)
    const c = alphaOf(src, alphas, 32)
    const d = alphaOf(src, alphas, 48)
    if (!allAbove(a, b, c, d)) {
      const alpha = v128.or(v128.or(a, b), v128.or(c, d))
      const light = v128.or(v128.or(v128.load(src), v128.load(src, 16)), v128.or(v128.load(src, 32), v128.load(src, 48)))
      if (isEmpty(v128.or(light, alpha))) continue
      coverSome(dst, variance, keep, touched, src, alphas, 4, grain)
      continue
    }
    mark(keep, touched, a, b, c, d)
    lay(dst, variance, src, a, f32x4.mul(a, a), grain)
    lay(dst + 16, variance + 16, src + 16, b, f32x4.mul(b, b), grain)
    lay(dst + 32, variance + 32, src + 32, c, f32x4.mul(c, c), grain)
    lay(dst + 48, variance + 48, src + 48, d, f32x4.mul(d, d), grain)
  }
  coverSome(dst, variance, keep, touched, src, alphas, left, grain)
}

/** What a pixel covers of red, green, blue, and of green again. */
@inline
function alphaOf(src: usize, alphas: usize, at: usize): v128 {
  if (alphas) return v128.load(alphas + at)
  const s = v128.load(src + at)
  return v128.shuffle<i32>(s, s, 3, 3, 3, 3)
}

/** Whether there is nothing but 0 and −0: NaN is not 0, so a layer that holds one is seen. */
@inline
function isEmpty(words: v128): bool {
  return !v128.any_true(v128.and(words, i32x4.splat(0x7fffffff)))
}

/** Whether four pixels cover something in every channel: then all are touched, and none has light that is only added. */
@inline
function allAbove(a: v128, b: v128, c: v128, d: v128): bool {
  const zero = f32x4.splat(0)
  const two = v128.and(f32x4.gt(a, zero), f32x4.gt(b, zero))
  return i32x4.all_true(v128.and(two, v128.and(f32x4.gt(c, zero), f32x4.gt(d, zero))))
}

/** Four pixels touched, and what their alphas leave of the plate. */
@inline
function mark(keep: usize, touched: usize, a: v128, b: v128, c: v128, d: v128): void {
  store<u32>(touched, 0x01010101)
  const two = v128.shuffle<i32>(a, b, 3, 7, 3, 7)
  const alpha = v128.shuffle<i32>(two, v128.shuffle<i32>(c, d, 3, 7, 3, 7), 0, 1, 4, 5)
  v128.store(keep, f32x4.mul(v128.load(keep), f32x4.sub(f32x4.splat(1), alpha)))
}

/** @param share how much of the layer's own grain comes */
@inline
function lay(dst: usize, variance: usize, src: usize, alpha: v128, share: v128, grain: v128): void {
  const left = f32x4.sub(f32x4.splat(1), alpha)
  const under = v128.load(dst)
  const light = f32x4.add(f32x4.mul(under, left), v128.load(src))
  v128.store(dst, v128.shuffle<i32>(light, under, 0, 1, 2, 7))
  const kept = f32x4.mul(f32x4.mul(v128.load(variance), left), left)
  v128.store(variance, f32x4.add(kept, f32x4.mul(grain, share)))
}

/** A pixel at a time, empty ones left out. */
function coverSome(
  dst: usize,
  variance: usize,
  keep: usize,
  touched: usize,
  src: usize,
  alphas: usize,
  pixels: i32,
  grain: v128,
): void {
  const zero = f32x4.splat(0)
  const one = f32x4.splat(1)
  for (let i: usize = 0, n = <usize>pixels << 4; i < n; i += 16) {
    const s = v128.load(src + i)
    const a = alphaOf(src, alphas, i)
    if (isEmpty(v128.or(s, a))) continue
    store<u8>(touched + (i >> 4), 1)
    const at = keep + (i >> 2)
    store<f32>(at, load<f32>(at) * (1 - f32x4.extract_lane(a, 3)))
    // Light that is only added brings its grain whole: of a pixel, or of a channel that has light.
    const added = alphas ? v128.andnot(one, f32x4.eq(s, zero)) : one
    const share = v128.bitselect(f32x4.mul(a, a), added, f32x4.gt(a, zero))
    lay(dst + i, variance + i, src + i, a, share, grain)
  }
}
