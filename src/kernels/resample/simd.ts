// AssemblyScript: the SIMD twin of `scalar.ts`. Undershoot is raised to the lowest source value under the filter, or 0.

/** One row: output pixel x is Σ weight[n·x + k]·src[first[x] + k] over k < count[x]; `even`: their count where all have the same. */
export function resampleAcross(
  src: usize,
  first: usize,
  count: usize,
  weight: usize,
  n: i32,
  even: i32,
  pixels: i32,
  out: usize,
): void {
  const stride = <usize>n << 2
  const zero = f32x4.splat(0)
  if (even === 4 || even === 5) {
    for (let x = 0; x < pixels; x++, first += 4, weight += stride, out += 16) {
      const at = src + (<usize>load<i32>(first) << 4)
      const a = v128.load(at)
      const b = v128.load(at, 16)
      const c = v128.load(at, 32)
      const d = v128.load(at, 48)
      let sum = f32x4.add(zero, f32x4.mul(v128.load32_splat(weight), a))
      sum = f32x4.add(sum, f32x4.mul(v128.load32_splat(weight, 4), b))
      sum = f32x4.add(sum, f32x4.mul(v128.load32_splat(weight, 8), c))
      sum = f32x4.add(sum, f32x4.mul(v128.load32_splat(weight, 12), d))
      let least = f32x4.min(f32x4.min(f32x4.min(f32x4.min(zero, a), b), c), d)
      if (even === 5) {
        const e = v128.load(at, 64)
        sum = f32x4.add(sum, f32x4.mul(v128.load32_splat(weight, 16), e))
        least = f32x4.min(least, e)
      }
      v128.store(out, alphaHeld(f32x4.max(sum, least)))
    }
    return
  }
  for (let x = 0; x < pixels; x++, first += 4, count += 4, weight += stride, out += 16) {
    const taps = load<i32>(count)
    let at = src + (<usize>load<i32>(first) << 4)
    let sum = zero
    let least = zero
    for (let w = weight, end = weight + (<usize>taps << 2); w < end; w += 4, at += 16) {
      const v = v128.load(at)
      sum = f32x4.add(sum, f32x4.mul(v128.load32_splat(w), v))
      least = f32x4.min(least, v)
    }
    v128.store(out, alphaHeld(f32x4.max(sum, least)))
  }
}

/** One output row from `count` rows, whose addresses are at `rows`. */
export function resampleDown(rows: usize, weight: usize, count: i32, pixels: i32, out: usize): void {
  const bytes = <usize>pixels << 4
  if (count === 4 || count === 5) {
    const a0 = <usize>load<u32>(rows)
    const b0 = <usize>load<u32>(rows, 4)
    const c0 = <usize>load<u32>(rows, 8)
    const d0 = <usize>load<u32>(rows, 12)
    const e0 = <usize>load<u32>(rows, 16)
    const w0 = v128.load32_splat(weight)
    const w1 = v128.load32_splat(weight, 4)
    const w2 = v128.load32_splat(weight, 8)
    const w3 = v128.load32_splat(weight, 12)
    const w4 = v128.load32_splat(weight, 16)
    const zero = f32x4.splat(0)
    for (let i: usize = 0; i < bytes; i += 16) {
      const a = v128.load(a0 + i)
      const b = v128.load(b0 + i)
      const c = v128.load(c0 + i)
      const d = v128.load(d0 + i)
      let sum = f32x4.add(zero, f32x4.mul(w0, a))
      sum = f32x4.add(sum, f32x4.mul(w1, b))
      sum = f32x4.add(sum, f32x4.mul(w2, c))
      sum = f32x4.add(sum, f32x4.mul(w3, d))
      let least = f32x4.min(f32x4.min(f32x4.min(f32x4.min(zero, a), b), c), d)
      if (count === 5) {
        const e = v128.load(e0 + i)
        sum = f32x4.add(sum, f32x4.mul(w4, e))
        least = f32x4.min(least, e)
      }
      v128.store(out + i, alphaHeld(f32x4.max(sum, least)))
    }
    return
  }
  for (let i: usize = 0; i < bytes; i += 16) {
    let sum = f32x4.splat(0)
    let least = f32x4.splat(0)
    for (let k: usize = 0, end = <usize>count << 2; k < end; k += 4) {
      const v = v128.load(<usize>load<u32>(rows + k) + i)
      sum = f32x4.add(sum, f32x4.mul(v128.load32_splat(weight + k), v))
      least = f32x4.min(least, v)
    }
    v128.store(out + i, alphaHeld(f32x4.max(sum, least)))
  }
}

@inline
function alphaHeld(v: v128): v128 {
  const held = f32x4.min(f32x4.max(v, f32x4.splat(0)), f32x4.splat(1))
  return v128.bitselect(held, v, i32x4(0, 0, 0, -1))
}
