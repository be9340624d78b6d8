// AssemblyScript: the SIMD twin of `scalar.ts`.

/** One row from frame column `x` on. `lamps`: seven floats, see `lampRow`; `peak`: four, the last 0. */
export function castRow(
  light: usize,
  variance: usize,
  touched: usize,
  share: usize,
  pixels: i32,
  x: i32,
  lamps: usize,
  peak: usize,
): void {
  const nearest = v128.load32_splat(lamps)
  const across = v128.load32_splat(lamps, 4)
  const flat = v128.load32_splat(lamps, 8)
  const away = v128.load32_splat(lamps, 12)
  const up = v128.load32_splat(lamps, 16)
  const middle = v128.load32_splat(lamps, 20)
  const down = v128.load32_splat(lamps, 24)
  const by = v128.load(peak)
  let column = f32x4.add(f32x4.splat(<f32>x), f32x4(0.5, 1.5, 2.5, 3.5))
  for (let i = 0; i < pixels; i += 4) {
    const left = pixels - i
    // What lies behind a row's end is another's.
    let s = v128.load(share + (<usize>i << 2))
    if (left < 4) s = v128.and(s, i32x4(-1, left > 1 ? -1 : 0, left > 2 ? -1 : 0, 0))
    if (v128.any_true(f32x4.ne(s, f32x4.splat(0)))) {
      const dx = f32x4.mul(f32x4.sub(column, nearest), across)
      const near = f32x4.add(flat, f32x4.mul(dx, dx))
      let sum = fall(away, f32x4.add(near, up))
      sum = f32x4.add(sum, fall(away, f32x4.add(near, middle)))
      sum = f32x4.add(sum, fall(away, f32x4.add(near, down)))
      const at = f32x4.mul(s, sum)
      rise(light, variance, touched, i, f32x4.extract_lane(s, 0), f32x4.splat(f32x4.extract_lane(at, 0)), by)
      rise(light, variance, touched, i + 1, f32x4.extract_lane(s, 1), f32x4.splat(f32x4.extract_lane(at, 1)), by)
      rise(light, variance, touched, i + 2, f32x4.extract_lane(s, 2), f32x4.splat(f32x4.extract_lane(at, 2)), by)
      rise(light, variance, touched, i + 3, f32x4.extract_lane(s, 3), f32x4.splat(f32x4.extract_lane(at, 3)), by)
    }
    column = f32x4.add(column, f32x4.splat(4))
  }
}

@inline
function fall(away: v128, far: v128): v128 {
  return f32x4.div(away, f32x4.mul(far, f32x4.sqrt(far)))
}

@inline
function rise(light: usize, variance: usize, touched: usize, i: i32, share: f32, at: v128, peak: v128): void {
  if (share == 0) return
  store<u8>(touched + <usize>i, 1)
  const k = f32x4.add(f32x4.splat(1), f32x4.mul(at, peak))
  const p = light + (<usize>i << 4)
  const v = variance + (<usize>i << 4)
  const lane = i32x4(0, 0, 0, -1)
  const own = v128.load(p)
  v128.store(p, v128.bitselect(own, f32x4.mul(own, k), lane))
  const grain = v128.load(v)
  v128.store(v, v128.bitselect(grain, f32x4.mul(f32x4.mul(grain, k), k), lane))
}
