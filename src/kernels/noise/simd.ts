// AssemblyScript: the SIMD twin of `scalar.ts`.

/**
 * Noise of a block of `size` × `size` pixels, rows `stride` bytes apart. `scratch`: 32 bytes a pixel. `out`: mean, variance and the
 * lags along x and y, four doubles each.
 */
export function blockNoise(src: usize, stride: usize, size: i32, scratch: usize, out: usize): void {
  const zero = f64x2.splat(0)
  const middle = <f64>(size - 1) / 2
  let sum = zero
  let sum2 = zero
  let across = zero
  let across2 = zero
  let down = zero
  let down2 = zero
  let to = scratch
  for (let y = 0; y < size; y++, src += stride) {
    const dy = f64x2.splat(<f64>y - middle)
    for (let x = 0, at = src; x < size; x++, at += 16, to += 32) {
      const dx = f64x2.splat(<f64>x - middle)
      const v = f64x2.promote_low_f32x4(v128.load64_zero(at))
      const w = f64x2.promote_low_f32x4(v128.load64_zero(at, 8))
      v128.store(to, v)
      v128.store(to, w, 16)
      sum = f64x2.add(sum, v)
      sum2 = f64x2.add(sum2, w)
      across = f64x2.add(across, f64x2.mul(v, dx))
      across2 = f64x2.add(across2, f64x2.mul(w, dx))
      down = f64x2.add(down, f64x2.mul(v, dy))
      down2 = f64x2.add(down2, f64x2.mul(w, dy))
    }
  }
  const n = <f64>(size * size)
  const count = f64x2.splat(n)
  const moment = f64x2.splat((n * (n - 1)) / 12)
  residuals(scratch, size, f64x2.div(sum, count), f64x2.div(across, moment), f64x2.div(down, moment), out)
  residuals(
    scratch + 16,
    size,
    f64x2.div(sum2, count),
    f64x2.div(across2, moment),
    f64x2.div(down2, moment),
    out + 16,
  )
}

/** Two channels, whose values lie 32 bytes apart. */
function residuals(values: usize, size: i32, mean: v128, p: v128, q: v128, out: usize): void {
  const middle = <f64>(size - 1) / 2
  const row = <usize>size << 5
  let square = f64x2.splat(0)
  let right = f64x2.splat(0)
  let below = f64x2.splat(0)
  for (let y = 0, at = values; y < size; y++) {
    const slope = f64x2.mul(q, f64x2.splat(<f64>y - middle))
    for (let x = 0; x < size; x++, at += 32) {
      const tilt = f64x2.mul(p, f64x2.splat(<f64>x - middle))
      const e = f64x2.sub(f64x2.sub(f64x2.sub(v128.load(at), mean), tilt), slope)
      v128.store(at, e)
      square = f64x2.add(square, f64x2.mul(e, e))
      if (x > 0) right = f64x2.add(right, f64x2.mul(e, v128.load(at - 32)))
      if (y > 0) below = f64x2.add(below, f64x2.mul(e, v128.load(at - row)))
    }
  }
  const n = <f64>(size * size)
  const all = f64x2.mul(f64x2.splat(<f64>(size - 1) / <f64>size), square)
  v128.store(out, mean)
  v128.store(out, f64x2.div(square, f64x2.splat(n - 3)), 32)
  v128.store(out, f64x2.div(right, all), 64)
  v128.store(out, f64x2.div(below, all), 96)
}
