// AssemblyScript: the SIMD twin of `settle` in `patchScalar.ts`, a row at once; a loop for each type of samples and of masks.

/**
 * New samples where `mask` is not 0 (bytes, type 0, or floats, type 2): see `settle`. `k`: offset, scale and top of the
 * codes; top is infinite for floats.
 */
export function settleRow(
  base: usize,
  type: i32,
  after: usize,
  before: usize,
  keep: usize,
  mask: usize,
  maskType: i32,
  count: i32,
  k: usize,
): void {
  if (maskType === 0) {
    if (type === 0) settleCodes<u8, u8>(base, after, before, keep, mask, count, k)
    else if (type === 1) settleCodes<u16, u8>(base, after, before, keep, mask, count, k)
    else settleFloats<u8>(base, after, before, keep, mask, count, k)
  } else {
    if (type === 0) settleCodes<u8, f32>(base, after, before, keep, mask, count, k)
    else if (type === 1) settleCodes<u16, f32>(base, after, before, keep, mask, count, k)
    else settleFloats<f32>(base, after, before, keep, mask, count, k)
  }
}

function settleCodes<T, M>(
  base: usize,
  after: usize,
  before: usize,
  keep: usize,
  mask: usize,
  count: i32,
  k: usize,
): void {
  const off = v128.load32_splat(k)
  const gain = v128.load32_splat(k, 4)
  const most = v128.load32_splat(k, 8)
  const step: usize = 8 * sizeof<T>()
  const maskStep: usize = 8 * sizeof<M>()
  let i = 0
  for (; i + 8 <= count; i += 8, base += step, after += 32, before += 32, keep += 32, mask += maskStep) {
    const touched = eightTouched<M>(mask)
    if (!v128.any_true(touched)) continue
    const b = sizeof<T>() === 1 ? v128.load_ext<u8>(base) : v128.load(base)
    const b0 = f32x4.convert_i32x4_u(i32x4.extend_low_i16x8_u(b))
    const b1 = f32x4.convert_i32x4_u(i32x4.extend_high_i16x8_u(b))
    const now0 = f32x4.add(off, f32x4.mul(gain, v128.load(after)))
    const now1 = f32x4.add(off, f32x4.mul(gain, v128.load(after, 16)))
    const old0 = f32x4.add(off, f32x4.mul(gain, v128.load(before)))
    const old1 = f32x4.add(off, f32x4.mul(gain, v128.load(before, 16)))
    const part0 = v128.load(keep)
    const part1 = v128.load(keep, 16)
    const same = i16x8.narrow_i32x4_s(kept(now0, old0, part0), kept(now1, old1, part1))
    const codes = i16x8.narrow_i32x4_u(
      whole(settled(b0, now0, old0, part0), most),
      whole(settled(b1, now1, old1, part1), most),
    )
    const made = v128.bitselect(codes, b, v128.andnot(touched, same))
    if (sizeof<T>() === 1) v128.store64_lane(base, i8x16.narrow_i16x8_u(made, made), 0)
    else v128.store(base, made)
  }
  for (; i < count; i++, base += sizeof<T>(), after += 4, before += 4, keep += 4, mask += sizeof<M>()) {
    if (load<M>(mask) === 0) continue
    const now = f32x4.add(off, f32x4.mul(gain, v128.load32_zero(after)))
    const old = f32x4.add(off, f32x4.mul(gain, v128.load32_zero(before)))
    const part = v128.load32_zero(keep)
    if (i32x4.extract_lane(kept(now, old, part), 0)) continue
    const value = settled(f32x4.splat(<f32>load<T>(base)), now, old, part)
    store<T>(base, <T>i32x4.extract_lane(whole(value, most), 0))
  }
}

function settleFloats<M>(
  base: usize,
  after: usize,
  before: usize,
  keep: usize,
  mask: usize,
  count: i32,
  k: usize,
): void {
  const off = v128.load32_splat(k)
  const gain = v128.load32_splat(k, 4)
  for (let i = 0; i < count; i++, base += 4, after += 4, before += 4, keep += 4, mask += sizeof<M>()) {
    if (load<M>(mask) === 0) continue
    const b = v128.load32_zero(base)
    const now = f32x4.add(off, f32x4.mul(gain, v128.load32_zero(after)))
    const old = f32x4.add(off, f32x4.mul(gain, v128.load32_zero(before)))
    const part = v128.load32_zero(keep)
    if (i32x4.extract_lane(v128.and(kept(now, old, part), f32x4.eq(b, b)), 0)) continue
    const value = settled(b, now, old, part)
    v128.store32_lane(base, v128.and(value, f32x4.eq(value, value)), 0)
  }
}

/** Which of eight pixels are touched, 16 bits each. */
@inline
function eightTouched<M>(mask: usize): v128 {
  if (sizeof<M>() === 1) return i16x8.ne(v128.load_ext<u8>(mask), i16x8.splat(0))
  const zero = f32x4.splat(0)
  return i16x8.narrow_i32x4_s(f32x4.ne(v128.load(mask), zero), f32x4.ne(v128.load(mask, 16), zero))
}

/** Where a sample that is a number stays. */
@inline
function kept(now: v128, old: v128, part: v128): v128 {
  return v128.and(f32x4.eq(part, f32x4.splat(1)), f32x4.eq(now, old))
}

@inline
function settled(b: v128, now: v128, old: v128, part: v128): v128 {
  const lost = f32x4.mul(part, f32x4.sub(b, old))
  return f32x4.add(now, v128.and(lost, f32x4.eq(f32x4.sub(lost, lost), f32x4.splat(0))))
}

/** What is cut off of a number that is not negative is its fraction; NaN becomes 0. */
@inline
function whole(value: v128, most: v128): v128 {
  const zero = f32x4.splat(0)
  return i32x4.trunc_sat_f32x4_s(f32x4.pmin(f32x4.pmax(zero, f32x4.add(value, f32x4.splat(0.5))), most))
}
