// AssemblyScript: what the rows of `../simd.ts` look at: planes of the source, and shifts between nodes.

/** `rows` rows of interleaved pixels into four planes; `held` gets 1 for each 16 columns that hold anything. */
export function warpPlanes(
  src: usize,
  line: usize,
  width: i32,
  rows: i32,
  out: usize,
  pitch: usize,
  plane: usize,
  held: usize,
): void {
  const zero = v128.splat<i32>(0)
  for (let y = 0; y < rows; y++, src += line, out += pitch) {
    for (let p = 0, left = out - 32, right = out + (<usize>width << 2); p < 4; p++, left += plane, right += plane) {
      v128.store(left, zero)
      v128.store(left, zero, 16)
      // The last pixels may share a word with what lies behind them: these come first.
      v128.store(right, zero)
      v128.store(right, zero, 16)
      v128.store(right, zero, 32)
    }
    let from = src
    let to = out
    let x = 0
    let any = i32x4.splat(0)
    for (; x + 4 <= width; x += 4, from += 64, to += 16) {
      const a = v128.load(from)
      const b = v128.load(from, 16)
      const c = v128.load(from, 32)
      const d = v128.load(from, 48)
      any = v128.or(any, v128.or(v128.or(a, b), v128.or(c, d)))
      const ab = v128.shuffle<i32>(a, b, 0, 4, 1, 5)
      const cd = v128.shuffle<i32>(c, d, 0, 4, 1, 5)
      const ef = v128.shuffle<i32>(a, b, 2, 6, 3, 7)
      const gh = v128.shuffle<i32>(c, d, 2, 6, 3, 7)
      v128.store(to, v128.shuffle<i64>(ab, cd, 0, 2))
      v128.store(to + plane, v128.shuffle<i64>(ab, cd, 1, 3))
      v128.store(to + 2 * plane, v128.shuffle<i64>(ef, gh, 0, 2))
      v128.store(to + 3 * plane, v128.shuffle<i64>(ef, gh, 1, 3))
      if ((x & 15) === 12) {
        if (v128.any_true(any)) store<u8>(held + (x >> 4), 1)
        any = i32x4.splat(0)
      }
    }
    for (; x < width; x++, from += 16, to += 4) {
      const v = v128.load(from)
      any = v128.or(any, v)
      store<f32>(to, f32x4.extract_lane(v, 0))
      store<f32>(to + plane, f32x4.extract_lane(v, 1))
      store<f32>(to + 2 * plane, f32x4.extract_lane(v, 2))
      store<f32>(to + 3 * plane, f32x4.extract_lane(v, 3))
    }
    if (v128.any_true(any)) store<u8>(held + ((width - 1) >> 4), 1)
  }
}

/** Shifts of four pixels and four more from nodes 8 pixels apart, `cells` times, between two rows of nodes. */
export function warpShifts(above: usize, below: usize, down: f32, cells: i32, out: usize): void {
  const t = f32x4(0, 0.125, 0.25, 0.375)
  const u = f32x4(0.5, 0.625, 0.75, 0.875)
  let a = load<f32>(above)
  let left = a + (load<f32>(below) - a) * down
  for (let i = 0; i < cells; i++, out += 32) {
    above += 4
    below += 4
    a = load<f32>(above)
    const right = a + (load<f32>(below) - a) * down
    const start = f32x4.splat(left)
    const slope = f32x4.splat(right - left)
    v128.store(out, f32x4.add(start, f32x4.mul(slope, t)))
    v128.store(out, f32x4.add(start, f32x4.mul(slope, u)), 16)
    left = right
  }
}
