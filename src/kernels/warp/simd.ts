// AssemblyScript: the SIMD twin of `scalar.ts`. Four output pixels at a time, a channel at a time, on planes of the source: the four
// look at pixels that mostly lie side by side, so that one load gives a tap of all four. Planes have 8 columns and 4 rows of 0 around
// them; what lies further out is looked for there.

/**
 * One row, every channel by shifts of its own. Rows of shifts (red x, y, green x, y, blue x, y) are `apart` bytes apart; `groups` fours of
 * pixels from column `x` of the planes on, of which those are seen whose `live` is 1. The first `skip` pixels are left out, then `pixels`
 * are written.
 */
export function warpColouredRow(
  shift: usize,
  apart: usize,
  x: i32,
  y: i32,
  live: usize,
  planes: usize,
  pitch: usize,
  plane: usize,
  width: i32,
  height: i32,
  room: usize,
  skip: i32,
  pixels: i32,
  out: usize,
  coverage: usize,
): void {
  const alpha = planes + 3 * plane
  for (let left = -skip; left < pixels; left += 4, shift += 16, x += 4, live++) {
    if (load<u8>(live)) {
      look(shift, apart, x, y, planes, alpha, pitch, width, height, room, true)
      look(shift + 2 * apart, apart, x, y, planes + plane, alpha, pitch, width, height, room + 32, true)
      look(shift + 4 * apart, apart, x, y, planes + 2 * plane, alpha, pitch, width, height, room + 64, true)
      if (left >= 0 && left + 4 <= pixels) {
        interleave(room, 0, 32, 64, 48, out + (left << 4))
        interleave(room, 16, 48, 80, 48, coverage + (left << 4))
      } else {
        interleave(room, 0, 32, 64, 48, room + 96)
        put(room + 96, left, pixels, out)
        interleave(room, 16, 48, 80, 48, room + 96)
        put(room + 96, left, pixels, coverage)
      }
    } else {
      clear(left, pixels, out)
      clear(left, pixels, coverage)
    }
  }
}

/** The same where all channels share the shifts of one. */
export function warpRow(
  shift: usize,
  apart: usize,
  x: i32,
  y: i32,
  live: usize,
  planes: usize,
  pitch: usize,
  plane: usize,
  width: i32,
  height: i32,
  room: usize,
  skip: i32,
  pixels: i32,
  out: usize,
): void {
  for (let left = -skip; left < pixels; left += 4, shift += 16, x += 4, live++) {
    if (load<u8>(live)) {
      look(shift, apart, x, y, planes, planes + plane, pitch, width, height, room, false)
      look(shift, apart, x, y, planes + 2 * plane, planes + 3 * plane, pitch, width, height, room + 32, true)
      if (left >= 0 && left + 4 <= pixels) interleave(room, 0, 16, 32, 48, out + (left << 4))
      else {
        interleave(room, 0, 16, 32, 48, room + 96)
        put(room + 96, left, pixels, out)
      }
    } else clear(left, pixels, out)
  }
}

/** Four vectors of one channel each into four pixels. */
@inline
function interleave(room: usize, r: usize, g: usize, b: usize, a: usize, out: usize): void {
  const red = v128.load(room + r)
  const green = v128.load(room + g)
  const blue = v128.load(room + b)
  const alpha = v128.load(room + a)
  const rg = v128.shuffle<i32>(red, green, 0, 4, 1, 5)
  const ba = v128.shuffle<i32>(blue, alpha, 0, 4, 1, 5)
  const RG = v128.shuffle<i32>(red, green, 2, 6, 3, 7)
  const BA = v128.shuffle<i32>(blue, alpha, 2, 6, 3, 7)
  v128.store(out, v128.shuffle<i64>(rg, ba, 0, 2))
  v128.store(out, v128.shuffle<i64>(rg, ba, 1, 3), 16)
  v128.store(out, v128.shuffle<i64>(RG, BA, 0, 2), 32)
  v128.store(out, v128.shuffle<i64>(RG, BA, 1, 3), 48)
}

/** Four pixels to places `left` and on, of which those from 0 to `pixels` are there. */
function put(from: usize, left: i32, pixels: i32, out: usize): void {
  for (let i = max<i32>(left, 0); i < min<i32>(left + 4, pixels); i++) {
    v128.store(out + (i << 4), v128.load(from + ((i - left) << 4)))
  }
}

/** Nothing to the same places. */
@inline
function clear(left: i32, pixels: i32, out: usize): void {
  if (left >= 0 && left + 4 <= pixels) memory.fill(out + (left << 4), 0, 64)
  else
    for (let i = max<i32>(left, 0); i < min<i32>(left + 4, pixels); i++) v128.store(out + (i << 4), i32x4.splat(0))
}

/**
 * Two planes at four positions, the second alpha or not; results one behind the other. What is rare is done elsewhere, so that what
 * is not stays in registers.
 */
@inline
function look(
  shift: usize,
  apart: usize,
  x: i32,
  y: i32,
  first: usize,
  second: usize,
  pitch: usize,
  width: i32,
  height: i32,
  out: usize,
  alpha: bool,
): void {
  const one = f32x4.splat(1)
  const zero = f32x4.splat(0)
  const dx = v128.load(shift)
  const dy = v128.load(shift + apart)
  const fx = f32x4.floor(dx)
  const fy = f32x4.floor(dy)
  const ix = f32x4.extract_lane(fx, 0)
  const iy = f32x4.extract_lane(fy, 0)
  if (!i32x4.all_true(v128.and(f32x4.eq(fx, f32x4.splat(ix)), f32x4.eq(fy, f32x4.splat(iy))))) {
    lookApart(dx, dy, x, y, first, second, pitch, width, height, out, alpha)
    return
  }
  const tx = f32x4.sub(dx, fx)
  const sx = f32x4.sub(one, tx)
  const hx = f32x4.mul(f32x4.mul(f32x4.splat(-0.5), tx), sx)
  const x0 = f32x4.mul(hx, sx)
  const x3 = f32x4.mul(hx, tx)
  const x1 = inner(sx, x0, x3)
  const x2 = inner(tx, x3, x0)
  const ty = f32x4.sub(dy, fy)
  const sy = f32x4.sub(one, ty)
  const hy = f32x4.mul(f32x4.mul(f32x4.splat(-0.5), ty), sy)
  const y0 = f32x4.mul(hy, sy)
  const y3 = f32x4.mul(hy, ty)

  const column = min<i32>(max<i32>(x + <i32>ix - 1, -8), width)
  const row = min<i32>(max<i32>(y + <i32>iy - 1, -4), height)
  const offset = (<usize>column << 2) + <usize>row * pitch
  let p = first + offset
  let q = second + offset
  // Sums are stored after each row: else the compiler fetches all rows first and runs out of registers.
  let s = f32x4.mul(y0, side(p, x0, x1, x2, x3))
  let a = f32x4.mul(y0, side(q, x0, x1, x2, x3))
  v128.store(out, s)
  v128.store(out, a, 16)
  p += pitch
  q += pitch
  const y1 = inner(sy, y0, y3)
  s = f32x4.add(s, f32x4.mul(y1, side(p, x0, x1, x2, x3)))
  a = f32x4.add(a, f32x4.mul(y1, side(q, x0, x1, x2, x3)))
  v128.store(out, s)
  v128.store(out, a, 16)
  p += pitch
  q += pitch
  const y2 = inner(ty, y3, y0)
  s = f32x4.add(s, f32x4.mul(y2, side(p, x0, x1, x2, x3)))
  a = f32x4.add(a, f32x4.mul(y2, side(q, x0, x1, x2, x3)))
  v128.store(out, s)
  v128.store(out, a, 16)
  p += pitch
  q += pitch
  s = f32x4.add(s, f32x4.mul(y3, side(p, x0, x1, x2, x3)))
  a = f32x4.add(a, f32x4.mul(y3, side(q, x0, x1, x2, x3)))
  v128.store(out, s)
  if (alpha) v128.store(out, f32x4.min(f32x4.max(a, zero), one), 16)
  else v128.store(out, a, 16)
  if (v128.any_true(f32x4.lt(s, zero))) raise(out, first + offset, pitch)
  if (!alpha && v128.any_true(f32x4.lt(a, zero))) raise(out + 16, second + offset, pitch)
}

/** The same for four pixels of which some look elsewhere than right beside the others. */
function lookApart(
  dx: v128,
  dy: v128,
  x: i32,
  y: i32,
  first: usize,
  second: usize,
  pitch: usize,
  width: i32,
  height: i32,
  out: usize,
  alpha: bool,
): void {
  const one = f32x4.splat(1)
  const zero = f32x4.splat(0)
  const fx = f32x4.floor(dx)
  const fy = f32x4.floor(dy)
  const tx = f32x4.sub(dx, fx)
  const sx = f32x4.sub(one, tx)
  const hx = f32x4.mul(f32x4.mul(f32x4.splat(-0.5), tx), sx)
  const x0 = f32x4.mul(hx, sx)
  const x3 = f32x4.mul(hx, tx)
  const x1 = inner(sx, x0, x3)
  const x2 = inner(tx, x3, x0)
  const ty = f32x4.sub(dy, fy)
  const sy = f32x4.sub(one, ty)
  const hy = f32x4.mul(f32x4.mul(f32x4.splat(-0.5), ty), sy)
  const y0 = f32x4.mul(hy, sy)
  const y3 = f32x4.mul(hy, ty)
  const y1 = inner(sy, y0, y3)
  const y2 = inner(ty, y3, y0)

  let columns = i32x4.add(i32x4.trunc_sat_f32x4_s(fx), i32x4(x - 1, x, x + 1, x + 2))
  columns = i32x4.min_s(i32x4.max_s(columns, i32x4.splat(-8)), i32x4.splat(width))
  let rows = i32x4.add(i32x4.trunc_sat_f32x4_s(fy), i32x4.splat(y - 1))
  rows = i32x4.min_s(i32x4.max_s(rows, i32x4.splat(-4)), i32x4.splat(height))
  const offset = i32x4.add(i32x4.shl(columns, 2), i32x4.mul(rows, i32x4.splat(<i32>pitch)))
  const p0 = <usize>i32x4.extract_lane(offset, 0)
  const p1 = <usize>i32x4.extract_lane(offset, 1)
  const p2 = <usize>i32x4.extract_lane(offset, 2)
  const p3 = <usize>i32x4.extract_lane(offset, 3)
  for (let k = 0; k < 2; k++) {
    const from = k ? second : first
    let p = from
    let s = f32x4.mul(y0, apartFour(p + p0, p + p1, p + p2, p + p3, x0, x1, x2, x3))
    p += pitch
    s = f32x4.add(s, f32x4.mul(y1, apartFour(p + p0, p + p1, p + p2, p + p3, x0, x1, x2, x3)))
    p += pitch
    s = f32x4.add(s, f32x4.mul(y2, apartFour(p + p0, p + p1, p + p2, p + p3, x0, x1, x2, x3)))
    p += pitch
    s = f32x4.add(s, f32x4.mul(y3, apartFour(p + p0, p + p1, p + p2, p + p3, x0, x1, x2, x3)))
    if (k && alpha) s = f32x4.min(f32x4.max(s, zero), one)
    v128.store(out + (k << 4), s)
    if (v128.any_true(f32x4.lt(s, zero))) {
      raiseTo(out + (k << 4), leastOf(from + p0, from + p1, from + p2, from + p3, pitch))
    }
  }
}

/** Weight of an inner pixel of the cubic, from its nearness and the weights beyond it and across. */
@inline
function inner(near: v128, beyond: v128, across: v128): v128 {
  return f32x4.add(f32x4.sub(near, f32x4.add(beyond, beyond)), across)
}

/** Undershoot of four pixels side by side, raised to the lowest value under the filter, or 0. */
function raise(at: usize, p: usize, pitch: usize): void {
  raiseTo(at, leastOf(p, p + 4, p + 8, p + 12, pitch))
}

function raiseTo(at: usize, least: v128): void {
  const s = v128.load(at)
  v128.store(at, v128.bitselect(f32x4.max(s, least), s, f32x4.lt(s, f32x4.splat(0))))
}

/** Four taps of four pixels side by side. */
@inline
function side(p: usize, x0: v128, x1: v128, x2: v128, x3: v128): v128 {
  let row = f32x4.mul(x0, v128.load(p))
  row = f32x4.add(row, f32x4.mul(x1, v128.load(p, 4)))
  row = f32x4.add(row, f32x4.mul(x2, v128.load(p, 8)))
  return f32x4.add(row, f32x4.mul(x3, v128.load(p, 12)))
}

/** Four taps of four pixels that lie anywhere. */
@inline
function apartFour(
  p0: usize,
  p1: usize,
  p2: usize,
  p3: usize,
  x0: v128,
  x1: v128,
  x2: v128,
  x3: v128,
): v128 {
  const a = v128.load(p0)
  const b = v128.load(p1)
  const c = v128.load(p2)
  const d = v128.load(p3)
  const ab = v128.shuffle<i32>(a, b, 0, 4, 1, 5)
  const cd = v128.shuffle<i32>(c, d, 0, 4, 1, 5)
  let row = f32x4.mul(x0, v128.shuffle<i64>(ab, cd, 0, 2))
  row = f32x4.add(row, f32x4.mul(x1, v128.shuffle<i64>(ab, cd, 1, 3)))
  const ef = v128.shuffle<i32>(a, b, 2, 6, 3, 7)
  const gh = v128.shuffle<i32>(c, d, 2, 6, 3, 7)
  row = f32x4.add(row, f32x4.mul(x2, v128.shuffle<i64>(ef, gh, 0, 2)))
  return f32x4.add(row, f32x4.mul(x3, v128.shuffle<i64>(ef, gh, 1, 3)))
}

/** Lowest of 0 and the 16 values under the filter of four pixels. */
function leastOf(p0: usize, p1: usize, p2: usize, p3: usize, pitch: usize): v128 {
  const a = leastUnder(p0, pitch)
  const b = leastUnder(p1, pitch)
  const c = leastUnder(p2, pitch)
  const d = leastUnder(p3, pitch)
  const ab = v128.shuffle<i32>(a, b, 0, 4, 1, 5)
  const cd = v128.shuffle<i32>(c, d, 0, 4, 1, 5)
  const ef = v128.shuffle<i32>(a, b, 2, 6, 3, 7)
  const gh = v128.shuffle<i32>(c, d, 2, 6, 3, 7)
  const low = f32x4.min(v128.shuffle<i64>(ab, cd, 0, 2), v128.shuffle<i64>(ab, cd, 1, 3))
  const high = f32x4.min(v128.shuffle<i64>(ef, gh, 0, 2), v128.shuffle<i64>(ef, gh, 1, 3))
  return f32x4.min(f32x4.min(low, high), f32x4.splat(0))
}

function leastUnder(p: usize, pitch: usize): v128 {
  const low = f32x4.min(v128.load(p), v128.load(p + pitch))
  return f32x4.min(low, f32x4.min(v128.load(p + 2 * pitch), v128.load(p + 3 * pitch)))
}
