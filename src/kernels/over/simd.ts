// AssemblyScript: the SIMD twin of `scalar.ts`.

/** One row: `src` over `dst`. */
export function over(dst: usize, src: usize, pixels: i32): void {
  const one = f32x4.splat(1)
  const end = src + (<usize>pixels << 4)
  for (; src < end; src += 16, dst += 16) {
    const s = v128.load(src)
    const through = f32x4.sub(one, v128.shuffle<i32>(s, s, 3, 3, 3, 3))
    v128.store(dst, f32x4.add(s, f32x4.mul(through, v128.load(dst))))
  }
}

/** One row: colour of `src` added to `dst`, whose alpha stays. */
export function addColour(dst: usize, src: usize, pixels: i32): void {
  const lane = i32x4(0, 0, 0, -1)
  const end = src + (<usize>pixels << 4)
  for (; src < end; src += 16, dst += 16) {
    const under = v128.load(dst)
    v128.store(dst, v128.bitselect(under, f32x4.add(under, v128.load(src)), lane))
  }
}

/** One row: light of `src` added to `dst`; alpha is held to 1. */
export function add(dst: usize, src: usize, pixels: i32): void {
  const most = f32x4(f32.MAX_VALUE, f32.MAX_VALUE, f32.MAX_VALUE, 1)
  const alpha = i32x4(0, 0, 0, -1)
  const end = src + (<usize>pixels << 4)
  for (; src < end; src += 16, dst += 16) {
    const sum = f32x4.add(v128.load(src), v128.load(dst))
    v128.store(dst, v128.bitselect(f32x4.pmin(sum, most), sum, alpha))
  }
}
