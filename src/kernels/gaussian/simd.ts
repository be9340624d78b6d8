// AssemblyScript: the SIMD twin of `scalar.ts`.

/** A row of pixels copied; NaN and infinity become 0. */
export function finiteRow(src: usize, pixels: i32, out: usize): void {
  for (let i: usize = 0, n = <usize>pixels << 4; i < n; i += 16) {
    const v = v128.load(src + i)
    v128.store(out + i, v128.and(v, f32x4.eq(f32x4.sub(v, v), f32x4.splat(0))))
  }
}

/** Five pixels a step apart become one, for `pixels` outputs; `next` lies between the places of one and of the next. */
export function halveRow(
  a: usize,
  b: usize,
  c: usize,
  d: usize,
  e: usize,
  next: usize,
  pixels: i32,
  out: usize,
): void {
  const far = f32x4.splat(0.0625)
  const near = f32x4.splat(0.25)
  const middle = f32x4.splat(0.375)
  for (let i = 0, at: usize = 0; i < pixels; i++, at += next, out += 16) {
    const outer = f32x4.mul(f32x4.add(v128.load(a + at), v128.load(e + at)), far)
    const inner = f32x4.mul(f32x4.add(v128.load(b + at), v128.load(d + at)), near)
    v128.store(out, f32x4.add(f32x4.add(outer, inner), f32x4.mul(v128.load(c + at), middle)))
  }
}

/** Symmetric filter: `taps` from the middle outwards, `half` of them beside it, whose pixels lie `step` bytes apart. */
export function gaussRow(middle: usize, step: usize, taps: usize, half: i32, pixels: i32, out: usize): void {
  let left = pixels
  for (; left >= 4; left -= 4, middle += 64, out += 64) {
    let w = v128.load32_splat(taps)
    let p = f32x4.mul(w, v128.load(middle))
    let q = f32x4.mul(w, v128.load(middle, 16))
    let r = f32x4.mul(w, v128.load(middle, 32))
    let s = f32x4.mul(w, v128.load(middle, 48))
    let a = middle
    let b = middle
    for (let k = 1; k <= half; k++) {
      a -= step
      b += step
      w = v128.load32_splat(taps + (<usize>k << 2))
      p = f32x4.add(p, f32x4.mul(w, f32x4.add(v128.load(a), v128.load(b))))
      q = f32x4.add(q, f32x4.mul(w, f32x4.add(v128.load(a, 16), v128.load(b, 16))))
      r = f32x4.add(r, f32x4.mul(w, f32x4.add(v128.load(a, 32), v128.load(b, 32))))
      s = f32x4.add(s, f32x4.mul(w, f32x4.add(v128.load(a, 48), v128.load(b, 48))))
    }
    v128.store(out, p)
    v128.store(out, q, 16)
    v128.store(out, r, 32)
    v128.store(out, s, 48)
  }
  for (; left > 0; left--, middle += 16, out += 16) {
    let p = f32x4.mul(v128.load32_splat(taps), v128.load(middle))
    let a = middle
    let b = middle
    for (let k = 1; k <= half; k++) {
      a -= step
      b += step
      p = f32x4.add(p, f32x4.mul(v128.load32_splat(taps + (<usize>k << 2)), f32x4.add(v128.load(a), v128.load(b))))
    }
    v128.store(out, p)
  }
}

/** Small pixels of a row to large ones: `at`, place of the first among the large pixels that `row` begins with. */
export function splineAcross(row: usize, weights: usize, levels: i32, at: i32, pixels: i32, out: usize): void {
  const mask = (1 << levels) - 1
  for (let i = 0; i < pixels; i++, at++, out += 16) {
    const p = row + (<usize>(at >> levels) << 4) - 16
    const w = weights + (<usize>(at & mask) << 4)
    let v = f32x4.mul(v128.load32_splat(w), v128.load(p))
    v = f32x4.add(v, f32x4.mul(v128.load32_splat(w, 4), v128.load(p, 16)))
    v = f32x4.add(v, f32x4.mul(v128.load32_splat(w, 8), v128.load(p, 32)))
    v128.store(out, f32x4.add(v, f32x4.mul(v128.load32_splat(w, 12), v128.load(p, 48))))
  }
}

/** Four rows to the one between them. */
export function splineDown(a: usize, b: usize, c: usize, d: usize, weights: usize, pixels: i32, out: usize): void {
  const w0 = v128.load32_splat(weights)
  const w1 = v128.load32_splat(weights, 4)
  const w2 = v128.load32_splat(weights, 8)
  const w3 = v128.load32_splat(weights, 12)
  for (let i: usize = 0, n = <usize>pixels << 4; i < n; i += 16) {
    const first = f32x4.add(f32x4.mul(w0, v128.load(a + i)), f32x4.mul(w1, v128.load(b + i)))
    const third = f32x4.add(first, f32x4.mul(w2, v128.load(c + i)))
    v128.store(out + i, f32x4.add(third, f32x4.mul(w3, v128.load(d + i))))
  }
}
