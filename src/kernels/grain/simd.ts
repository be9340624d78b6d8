// AssemblyScript: the SIMD twin of `scalar.ts` and `topUpScalar.ts`. Hash and constants are those of `core/random.ts`.
import { entries, fourHeld, fourInside, held } from '../curve/simd'

@inline
function mixed(v: v128): v128 {
  let h = v128.xor(v, i32x4.shr_u(v, 16))
  h = i32x4.mul(h, i32x4.splat(0x85ebca6b))
  h = v128.xor(h, i32x4.shr_u(h, 13))
  h = i32x4.mul(h, i32x4.splat(0xc2b2ae35))
  return v128.xor(h, i32x4.shr_u(h, 16))
}

/** White rows of the three channels; `count` is rounded up to fours, so the rows need room for that. */
export function whiteRow(columns: usize, y: i32, count: i32, quantiles: usize, r: usize, g: usize, b: usize): void {
  const row = i32x4.splat((y + 0x165667b1) * 0x27d4eb2f)
  const red = i32x4.splat(0x2545f491 * 0x9e3779b1)
  const green = i32x4.splat((1 + 0x2545f491) * 0x9e3779b1)
  const blue = i32x4.splat((2 + 0x2545f491) * 0x9e3779b1)
  for (let i: usize = 0, n = <usize>count << 2; i < n; i += 16) {
    const pixel = mixed(v128.xor(v128.load(columns + i), row))
    v128.store(r + i, mixed(v128.xor(pixel, red)))
    v128.store(g + i, mixed(v128.xor(pixel, green)))
    v128.store(b + i, mixed(v128.xor(pixel, blue)))
  }
  // By itself: a look into a table waits long for its hash, and fours in the same loop wait with it.
  normals(r, count, quantiles)
  normals(g, count, quantiles)
  normals(b, count, quantiles)
}

/** Normal numbers where hashes stand: the quantile table's piece by the upper 12 bits, the place in it by the lower 20. */
function normals(at: usize, count: i32, quantiles: usize): void {
  for (const end = at + (<usize>count << 2); at < end; at += 16) {
    const hash = v128.load(at)
    let a = v128.load64_zero(pieceAt(at, quantiles))
    a = v128.load64_lane(pieceAt(at + 4, quantiles), a, 1)
    let b = v128.load64_zero(pieceAt(at + 8, quantiles))
    b = v128.load64_lane(pieceAt(at + 12, quantiles), b, 1)
    const low = v128.shuffle<i32>(a, b, 0, 2, 4, 6)
    const high = v128.shuffle<i32>(a, b, 1, 3, 5, 7)
    const place = f32x4.mul(
      f32x4.convert_i32x4_s(v128.and(hash, i32x4.splat(0xfffff))),
      f32x4.splat(<f32>9.5367431640625e-7),
    )
    v128.store(at, f32x4.add(low, f32x4.mul(f32x4.sub(high, low), place)))
  }
}

@inline
function pieceAt(hash: usize, quantiles: usize): usize {
  return quantiles + (<usize>(load<u32>(hash) >>> 20) << 2)
}

/**
 * Symmetric filter along a row: `taps` from the middle outwards, `half` of them beside it. `count` is rounded up to eights, so
 * that both rows need room for that.
 */
export function filterAcross(row: usize, taps: usize, half: i32, count: i32, out: usize): void {
  if (half === 3) sevenTaps(row - 12, row - 8, row - 4, row, row + 4, row + 8, row + 12, taps, count, out)
  else {
    for (let i: usize = 0, n = <usize>count << 2; i < n; i += 16) {
      let sum = f32x4.mul(v128.load32_splat(taps), v128.load(row + i))
      for (let k: usize = 4; k <= <usize>half << 2; k += 4) {
        sum = withPair(sum, v128.load32_splat(taps + k), row + i - k, row + i + k)
      }
      v128.store(out + i, sum)
    }
  }
}

/** The same down: `rows` holds the addresses of 2·half + 1 rows from the uppermost on. */
export function filterDown(rows: usize, taps: usize, half: i32, count: i32, out: usize): void {
  const middle = rows + (<usize>half << 2)
  if (half === 3) {
    sevenTaps(
      rowAt(rows),
      rowAt(rows + 4),
      rowAt(rows + 8),
      rowAt(rows + 12),
      rowAt(rows + 16),
      rowAt(rows + 20),
      rowAt(rows + 24),
      taps,
      count,
      out,
    )
  } else {
    for (let i: usize = 0, n = <usize>count << 2; i < n; i += 16) {
      let sum = f32x4.mul(v128.load32_splat(taps), v128.load(rowAt(middle) + i))
      for (let k: usize = 4; k <= <usize>half << 2; k += 4) {
        sum = withPair(sum, v128.load32_splat(taps + k), rowAt(middle - k) + i, rowAt(middle + k) + i)
      }
      v128.store(out + i, sum)
    }
  }
}

@inline
function rowAt(rows: usize): usize {
  return <usize>load<u32>(rows)
}

@inline
function withPair(sum: v128, tap: v128, before: usize, behind: usize): v128 {
  return f32x4.add(sum, f32x4.mul(tap, f32x4.add(v128.load(before), v128.load(behind))))
}

/** Seven taps, which is what most grain has, on as many rows. */
function sevenTaps(
  a: usize,
  b: usize,
  c: usize,
  d: usize,
  e: usize,
  f: usize,
  g: usize,
  taps: usize,
  count: i32,
  out: usize,
): void {
  const t0 = v128.load32_splat(taps)
  const t1 = v128.load32_splat(taps, 4)
  const t2 = v128.load32_splat(taps, 8)
  const t3 = v128.load32_splat(taps, 12)
  for (let i: usize = 0, n = <usize>count << 2; i < n; i += 32) {
    const sum0 = f32x4.mul(t0, v128.load(d + i))
    const sum1 = f32x4.mul(t0, v128.load(d + i, 16))
    const one0 = withPair(sum0, t1, c + i, e + i)
    const one1 = withPair(sum1, t1, c + i + 16, e + i + 16)
    const two0 = withPair(one0, t2, b + i, f + i)
    const two1 = withPair(one1, t2, b + i + 16, f + i + 16)
    v128.store(out + i, withPair(two0, t3, a + i, g + i))
    v128.store(out + i, withPair(two1, t3, a + i + 16, g + i + 16), 16)
  }
}

/** Four neighbours of each pixel, from `places` bytes into the row on, by its four weights. `count` is rounded up to fours. */
export function weighAcross(row: usize, places: usize, weights: usize, count: i32, out: usize): void {
  for (let i: usize = 0, n = <usize>count << 2; i < n; i += 16, weights += 64) {
    const p0 = f32x4.mul(v128.load(weights), fourFrom(row, places + i))
    const p1 = f32x4.mul(v128.load(weights, 16), fourFrom(row, places + i + 4))
    const p2 = f32x4.mul(v128.load(weights, 32), fourFrom(row, places + i + 8))
    const p3 = f32x4.mul(v128.load(weights, 48), fourFrom(row, places + i + 12))
    const a = f32x4.add(v128.shuffle<i32>(p0, p1, 0, 4, 2, 6), v128.shuffle<i32>(p0, p1, 1, 5, 3, 7))
    const b = f32x4.add(v128.shuffle<i32>(p2, p3, 0, 4, 2, 6), v128.shuffle<i32>(p2, p3, 1, 5, 3, 7))
    v128.store(out + i, f32x4.add(v128.shuffle<i32>(a, b, 0, 1, 4, 5), v128.shuffle<i32>(a, b, 2, 3, 6, 7)))
  }
}

@inline
function fourFrom(row: usize, place: usize): v128 {
  return v128.load(row + <usize>load<u32>(place))
}

/** The same down, four rows that weigh alike for all pixels. */
export function weighDown(a: usize, b: usize, c: usize, d: usize, weights: usize, count: i32, out: usize): void {
  const w0 = v128.load32_splat(weights)
  const w1 = v128.load32_splat(weights, 4)
  const w2 = v128.load32_splat(weights, 8)
  const w3 = v128.load32_splat(weights, 12)
  for (let i: usize = 0, n = <usize>count << 2; i < n; i += 16) {
    const first = f32x4.add(f32x4.mul(w0, v128.load(a + i)), f32x4.mul(w1, v128.load(b + i)))
    const then = f32x4.add(f32x4.mul(w2, v128.load(c + i)), f32x4.mul(w3, v128.load(d + i)))
    v128.store(out + i, f32x4.add(first, then))
  }
}

/** `factor`: nine numbers, row by row. R, G, B and 0 a pixel at `out`, which needs room for fours. */
export function mixRow(first: usize, second: usize, third: usize, factor: usize, count: i32, out: usize): void {
  const zero = f32x4.splat(0)
  for (let i: usize = 0, n = <usize>count << 2; i < n; i += 16, out += 64) {
    const n0 = v128.load(first + i)
    const n1 = v128.load(second + i)
    const n2 = v128.load(third + i)
    const red = mixOf(n0, n1, n2, factor)
    const green = mixOf(n0, n1, n2, factor + 12)
    const blue = mixOf(n0, n1, n2, factor + 24)
    const rg0 = v128.shuffle<i32>(red, green, 0, 4, 1, 5)
    const rg1 = v128.shuffle<i32>(red, green, 2, 6, 3, 7)
    const b0 = v128.shuffle<i32>(blue, zero, 0, 4, 1, 5)
    const b1 = v128.shuffle<i32>(blue, zero, 2, 6, 3, 7)
    v128.store(out, v128.shuffle<i64>(rg0, b0, 0, 2))
    v128.store(out, v128.shuffle<i64>(rg0, b0, 1, 3), 16)
    v128.store(out, v128.shuffle<i64>(rg1, b1, 0, 2), 32)
    v128.store(out, v128.shuffle<i64>(rg1, b1, 1, 3), 48)
  }
}

@inline
function mixOf(n0: v128, n1: v128, n2: v128, factor: usize): v128 {
  const two = f32x4.add(f32x4.mul(v128.load32_splat(factor), n0), f32x4.mul(v128.load32_splat(factor, 4), n1))
  return f32x4.add(two, f32x4.mul(v128.load32_splat(factor, 8), n2))
}

/** Variance of each pixel's level; the fourth value is 0. Levels beyond the tables count as their ends. `out` needs room for fours. */
export function varianceRow(src: usize, pixels: i32, red: usize, green: usize, blue: usize, out: usize): void {
  const end = src + (<usize>pixels << 4)
  for (; src < end; src += 64, out += 64) {
    const levels = fourInside(src) ? src : fourHeld(src, out)
    varianceAt(levels, red, green, blue, out)
    varianceAt(levels + 16, red, green, blue, out + 16)
    varianceAt(levels + 32, red, green, blue, out + 32)
    varianceAt(levels + 48, red, green, blue, out + 48)
  }
}

@inline
function varianceAt(level: usize, red: usize, green: usize, blue: usize, out: usize): void {
  v128.store(out, v128.and(entries(level, v128.load(level), red, green, blue), i32x4(-1, -1, -1, 0)))
}

/**
 * What is missing of the level's variance, added as `field` to the pixels that are touched; a share of it as the coarse part's
 * field, where `coarse` is not 0. `tables`: addresses of those of the variance, R, G, B, then of those of the share.
 */
export function topUpRow(
  dst: usize,
  variance: usize,
  field: usize,
  coarse: usize,
  touched: usize,
  pixels: i32,
  tables: usize,
): void {
  if (coarse) topUpBoth(dst, variance, field, coarse, touched, pixels, tables)
  else topUpFine(dst, variance, field, touched, pixels, tables)
}

function topUpFine(dst: usize, variance: usize, field: usize, touched: usize, pixels: i32, tables: usize): void {
  const red = <usize>load<u32>(tables)
  const green = <usize>load<u32>(tables, 4)
  const blue = <usize>load<u32>(tables, 8)
  const room = memory.data(64, 16)
  let left = pixels
  for (; left >= 4; left -= 4, dst += 64, variance += 64, field += 64, touched += 4) {
    if (load<u32>(touched) === 0x01010101) {
      const levels = fourInside(dst) ? dst : fourHeld(dst, room)
      topUpAt(dst, variance, field, levels, red, green, blue)
      topUpAt(dst + 16, variance + 16, field + 16, levels + 16, red, green, blue)
      topUpAt(dst + 32, variance + 32, field + 32, levels + 32, red, green, blue)
      topUpAt(dst + 48, variance + 48, field + 48, levels + 48, red, green, blue)
    } else if (load<u32>(touched)) topUpSome(dst, variance, field, touched, 4, red, green, blue)
  }
  topUpSome(dst, variance, field, touched, left, red, green, blue)
}

/** The same, a pixel at a time. */
function topUpSome(
  dst: usize,
  variance: usize,
  field: usize,
  touched: usize,
  pixels: usize,
  red: usize,
  green: usize,
  blue: usize,
): void {
  const levels = fourHeld(dst, memory.data(64, 16))
  for (let k: usize = 0; k < pixels; k++) {
    const at = k << 4
    if (load<u8>(touched + k)) topUpAt(dst + at, variance + at, field + at, levels + at, red, green, blue)
  }
}

/** @param level what the tables hold of the light at `dst` */
@inline
function topUpAt(
  dst: usize,
  variance: usize,
  field: usize,
  level: usize,
  red: usize,
  green: usize,
  blue: usize,
): void {
  const light = v128.load(dst)
  const missing = missingAt(variance, level, red, green, blue)
  const grain = f32x4.mul(f32x4.sqrt(missing), v128.load(field))
  v128.store(dst, v128.shuffle<i32>(f32x4.add(light, grain), light, 0, 1, 2, 7))
}

@inline
function missingAt(variance: usize, level: usize, red: usize, green: usize, blue: usize): v128 {
  const norm = entries(level, v128.load(level), red, green, blue)
  return f32x4.pmax(f32x4.splat(0), f32x4.sub(norm, v128.load(variance)))
}

function topUpBoth(
  dst: usize,
  variance: usize,
  field: usize,
  coarse: usize,
  touched: usize,
  pixels: i32,
  tables: usize,
): void {
  const red = <usize>load<u32>(tables)
  const green = <usize>load<u32>(tables, 4)
  const blue = <usize>load<u32>(tables, 8)
  const ofRed = <usize>load<u32>(tables, 12)
  const ofGreen = <usize>load<u32>(tables, 16)
  const ofBlue = <usize>load<u32>(tables, 20)
  const level = memory.data(16, 16)
  const one = f32x4.splat(1)
  for (let k = 0; k < pixels; k++, dst += 16, variance += 16, field += 16, coarse += 16) {
    if (!load<u8>(touched + k)) continue
    const light = v128.load(dst)
    v128.store(level, held(light))
    const missing = missingAt(variance, level, red, green, blue)
    const share = entries(level, v128.load(level), ofRed, ofGreen, ofBlue)
    const fine = f32x4.mul(f32x4.sqrt(f32x4.mul(missing, f32x4.sub(one, share))), v128.load(field))
    const wide = f32x4.mul(f32x4.sqrt(f32x4.mul(missing, share)), v128.load(coarse))
    v128.store(dst, v128.shuffle<i32>(f32x4.add(light, f32x4.add(fine, wide)), light, 0, 1, 2, 7))
  }
}
