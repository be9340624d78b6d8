// AssemblyScript: the SIMD twin of `scalar.ts`. `pmin` and `pmax` are one instruction each, `min` and `max` six. Undershoot is raised to the lowest source value under the filter, or 0.

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
  const zero = f32x4.splat(0)
  for (let x = 0; x < pixels; x++, first += 4, count += 4, weight += stride, out += 16) {
    const taps = load<i32>(count)
    let at = src + (<usize>load<i32>(first) << 4)
    let sum = zero
    let least = zero
    let w = weight
    // Four are what most pixels have.
    if (taps >= 4) {
      const a = v128.load(at)
      const b = v128.load(at, 16)
      const c = v128.load(at, 32)
      const d = v128.load(at, 48)
      sum = f32x4.add(zero, f32x4.mul(v128.load32_splat(w), a))
      sum = f32x4.add(sum, f32x4.mul(v128.load32_splat(w, 4), b))
      sum = f32x4.add(sum, f32x4.mul(v128.load32_splat(w, 8), c))
      sum = f32x4.add(sum, f32x4.mul(v128.load32_splat(w, 12), d))
      least = f32x4.pmin(f32x4.pmin(f32x4.pmin(f32x4.pmin(zero, a), b), c), d)
      at += 64
      w += 16
    }
    for (const end = weight + (<usize>taps << 2); w < end; w += 4, at += 16) {
      const v = v128.load(at)
      sum = f32x4.add(sum, f32x4.mul(v128.load32_splat(w), v))
      least = f32x4.pmin(least, v)
    }
    v128.store(out, alphaHeld(f32x4.pmax(sum, least)))
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
    const five = count === 5
    let i: usize = 0
    for (; i + 32 <= bytes; i += 32) {
      const a = a0 + i
      const b = b0 + i
      const c = c0 + i
      const d = d0 + i
      const e = e0 + i
      const one = down(v128.load(a), v128.load(b), v128.load(c), v128.load(d), w0, w1, w2, w3, e, 0, w4, five)
      const two = down(v128.load(a, 16), v128.load(b, 16), v128.load(c, 16), v128.load(d, 16), w0, w1, w2, w3, e, 16, w4, five)
      v128.store(out + i, one)
      v128.store(out + i, two, 16)
    }
    if (i < bytes) {
      const last = down(v128.load(a0 + i), v128.load(b0 + i), v128.load(c0 + i), v128.load(d0 + i), w0, w1, w2, w3, e0 + i, 0, w4, five)
      v128.store(out + i, last)
    }
    return
  }
  for (let i: usize = 0; i < bytes; i += 16) {
    let sum = f32x4.splat(0)
    let least = f32x4.splat(0)
    for (let k: usize = 0, end = <usize>count << 2; k < end; k += 4) {
      const v = v128.load(<usize>load<u32>(rows + k) + i)
      sum = f32x4.add(sum, f32x4.mul(v128.load32_splat(weight + k), v))
      least = f32x4.pmin(least, v)
    }
    v128.store(out + i, alphaHeld(f32x4.pmax(sum, least)))
  }
}

/** Four rows by their weights, and a fifth where there is one. */
@inline
function down(
  a: v128,
  b: v128,
  c: v128,
  d: v128,
  w0: v128,
  w1: v128,
  w2: v128,
  w3: v128,
  fifth: usize,
  offset: usize,
  w4: v128,
  five: bool,
): v128 {
  const zero = f32x4.splat(0)
  let sum = f32x4.add(zero, f32x4.mul(w0, a))
  sum = f32x4.add(sum, f32x4.mul(w1, b))
  sum = f32x4.add(sum, f32x4.mul(w2, c))
  sum = f32x4.add(sum, f32x4.mul(w3, d))
  let least = f32x4.pmin(f32x4.pmin(f32x4.pmin(f32x4.pmin(zero, a), b), c), d)
  if (five) {
    const e = v128.load(fifth + offset)
    sum = f32x4.add(sum, f32x4.mul(w4, e))
    least = f32x4.pmin(least, e)
  }
  return alphaHeld(f32x4.pmax(sum, least))
}

@inline
function alphaHeld(v: v128): v128 {
  const held = f32x4.pmin(f32x4.pmax(v, f32x4.splat(0)), f32x4.splat(1))
  return v128.bitselect(held, v, i32x4(0, 0, 0, -1))
}
