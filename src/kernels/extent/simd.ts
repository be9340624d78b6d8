// AssemblyScript: the SIMD twin of `scalar.ts`.

/** Number of the first pixel from `row` on that is not all 0; `pixels` where there is none. */
export function firstLit(row: usize, pixels: i32): i32 {
  const zero = f32x4.splat(0)
  for (let i = 0; i < pixels; i++, row += 16) {
    if (v128.any_true(f32x4.ne(v128.load(row), zero))) return i
  }
  return pixels
}

/** Number of the last one; −1 where there is none. */
export function lastLit(row: usize, pixels: i32): i32 {
  const zero = f32x4.splat(0)
  let at = row + (<usize>pixels << 4)
  for (let i = pixels - 1; i >= 0; i--) {
    at -= 16
    if (v128.any_true(f32x4.ne(v128.load(at), zero))) return i
  }
  return -1
}
