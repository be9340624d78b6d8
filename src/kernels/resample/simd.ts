// AssemblyScript: the SIMD twin of `scalar.ts`. Undershoot is raised to the lowest source value under the filter, or 0.

/** One row: output pixel x is Σ weight[n·x + k]·src[first[x] + k] over k < count[x]. */
export function resampleAcross(
  src: usize,
  first: usize,
  count: usize,
  weight: usize,
  n: i32,
  pixels: i32,
  out: usize,
): void {
  const stride = <usize>n << 2
  for (let x = 0; x < pixels; x++, first += 4, count += 4, weight += stride, out += 16) {
    const taps = load<i32>(count)
    let at = src + (<usize>load<i32>(first) << 4)
    let sum = f32x4.splat(0)
    let least = f32x4.splat(0)
    for (let w = weight, end = weight + (<usize>taps << 2); w < end; w += 4, at += 16) {
      const v = v128.load(at)
      sum = f32x4.add(sum, f32x4.mul(v128.load32_splat(w), v))
      least = f32x4.min(least, v)
    }
    v128.store(out, alphaHeld(f32x4.max(sum, least)))
  }
}

/** One output row from `count` rows, `stride` bytes apart. */
export function resampleDown(src: usize, stride: usize, weight: usize, count: i32, pixels: i32, out: usize): void {
  if (count === 4) {
    const w0 = v128.load32_splat(weight)
    const w1 = v128.load32_splat(weight, 4)
    const w2 = v128.load32_splat(weight, 8)
    const w3 = v128.load32_splat(weight, 12)
    for (let x = 0; x < pixels; x++, src += 16, out += 16) {
      const a = v128.load(src)
      const b = v128.load(src + stride)
      const c = v128.load(src + 2 * stride)
      const d = v128.load(src + 3 * stride)
      let sum = f32x4.add(f32x4.splat(0), f32x4.mul(w0, a))
      sum = f32x4.add(sum, f32x4.mul(w1, b))
      sum = f32x4.add(sum, f32x4.mul(w2, c))
      sum = f32x4.add(sum, f32x4.mul(w3, d))
      const least = f32x4.min(f32x4.min(f32x4.min(f32x4.min(f32x4.splat(0), a), b), c), d)
      v128.store(out, alphaHeld(f32x4.max(sum, least)))
    }
    return
  }
  const end = weight + (<usize>count << 2)
  for (let x = 0; x < pixels; x++, src += 16, out += 16) {
    let sum = f32x4.splat(0)
    let least = f32x4.splat(0)
    let at = src
    for (let w = weight; w < end; w += 4, at += stride) {
      const v = v128.load(at)
      sum = f32x4.add(sum, f32x4.mul(v128.load32_splat(w), v))
      least = f32x4.min(least, v)
    }
    v128.store(out, alphaHeld(f32x4.max(sum, least)))
  }
}

@inline
function alphaHeld(v: v128): v128 {
  const held = f32x4.min(f32x4.max(v, f32x4.splat(0)), f32x4.splat(1))
  return v128.bitselect(held, v, i32x4(0, 0, 0, -1))
}
