// AssemblyScript: the SIMD twin of `scalar.ts`.

export function nextNotFinite(data: usize, from: i32, length: i32): i32 {
  let i = from
  for (; i + 16 <= length; i += 16) {
    const at = data + (<usize>i << 2)
    const a = v128.load(at)
    const b = v128.load(at, 16)
    const c = v128.load(at, 32)
    const d = v128.load(at, 48)
    // What is no number or endless differs from itself by no 0, and makes any sum so.
    const sum = f32x4.add(
      f32x4.add(f32x4.sub(a, a), f32x4.sub(b, b)),
      f32x4.add(f32x4.sub(c, c), f32x4.sub(d, d)),
    )
    if (!i32x4.all_true(f32x4.eq(sum, f32x4.splat(0)))) break
  }
  for (; i < length; i++) {
    const v = load<f32>(data + (<usize>i << 2))
    if (!(v - v == 0)) break
  }
  return i
}

export function nextAbove(data: usize, from: i32, pixels: i32, limit: f32): i32 {
  const most = f32x4.splat(limit)
  const alpha = i32x4(0, 0, 0, -1)
  let p = from
  for (; p + 4 <= pixels; p += 4) {
    const at = data + (<usize>p << 4)
    const a = v128.and(f32x4.le(v128.load(at), most), f32x4.le(v128.load(at, 16), most))
    const b = v128.and(f32x4.le(v128.load(at, 32), most), f32x4.le(v128.load(at, 48), most))
    if (!i32x4.all_true(v128.or(v128.and(a, b), alpha))) break
  }
  for (; p < pixels; p++) {
    const at = data + (<usize>p << 4)
    if (!i32x4.all_true(v128.or(f32x4.le(v128.load(at), most), alpha))) break
  }
  return p
}
