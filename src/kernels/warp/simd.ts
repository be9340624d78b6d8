// AssemblyScript: the SIMD twin of `scalar.ts`. Four output pixels at a time, a channel at a time, on planes of the source: the four
// look at pixels that mostly lie side by side, so that one load gives a tap of all four. Planes have 8 columns and 4 rows of 0 around
// them; what lies further out is looked for there.

/** 1.5·2²³: added to a whole number, it leaves that in the last bits. */
const ROUND: f32 = 12582912
const ROUND_BITS: i32 = 0x4b400000
/** Fours of pixels that are noted before they are looked at: sums would wait for weights that are worked out right before them. */
const FOURS = 16
/** Bytes of a note: four weights across, four down, and where each pixel looks. */
const NOTE: usize = 9 * 16

/**
 * One row, every channel by shifts of its own. Rows of shifts (red x, y, green x, y, blue x, y) are `apart` bytes apart; fours of
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
  const notes = room + 256
  for (let left = -skip; left < pixels; ) {
    const end = min<i32>(left + 4 * FOURS, pixels)
    note(shift, apart, 3, x, y, live, pitch, width, height, (end - left + 3) >> 2, notes)
    for (let at = notes; left < end; left += 4, shift += 16, x += 4, live++, at += 3 * NOTE) {
      if (load<u8>(live)) {
        look(at, planes, alpha, pitch, room, true)
        look(at + NOTE, planes + plane, alpha, pitch, room + 32, true)
        look(at + 2 * NOTE, planes + 2 * plane, alpha, pitch, room + 64, true)
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
  const notes = room + 256
  for (let left = -skip; left < pixels; ) {
    const end = min<i32>(left + 4 * FOURS, pixels)
    note(shift, apart, 1, x, y, live, pitch, width, height, (end - left + 3) >> 2, notes)
    for (let at = notes; left < end; left += 4, shift += 16, x += 4, live++, at += NOTE) {
      if (load<u8>(live)) {
        look(at, planes, planes + plane, pitch, room, false)
        look(at, planes + 2 * plane, planes + 3 * plane, pitch, room + 32, true)
        if (left >= 0 && left + 4 <= pixels) interleave(room, 0, 16, 32, 48, out + (left << 4))
        else {
          interleave(room, 0, 16, 32, 48, room + 96)
          put(room + 96, left, pixels, out)
        }
      } else clear(left, pixels, out)
    }
  }
}

/** Notes of `fours` fours, each channel's one behind the other. */
function note(
  shift: usize,
  apart: usize,
  channels: usize,
  x: i32,
  y: i32,
  live: usize,
  pitch: usize,
  width: i32,
  height: i32,
  fours: i32,
  out: usize,
): void {
  for (let i = 0; i < fours; i++, live++, shift += 16, x += 4, out += channels * NOTE) {
    if (!load<u8>(live)) continue
    noteOne(shift, apart, x, y, pitch, width, height, out)
    if (channels === 1) continue
    noteOne(shift + 2 * apart, apart, x, y, pitch, width, height, out + NOTE)
    noteOne(shift + 4 * apart, apart, x, y, pitch, width, height, out + 2 * NOTE)
  }
}

@inline
function noteOne(shift: usize, apart: usize, x: i32, y: i32, pitch: usize, width: i32, height: i32, out: usize): void {
  // A four's pixels count from the first: those that look right beside each other have the same place.
  let columns = i32x4.add(cubic(shift, out), i32x4.splat(x - 1 - ROUND_BITS))
  columns = i32x4.min_s(i32x4.max_s(columns, i32x4.splat(-8)), i32x4.splat(width))
  let rows = i32x4.add(cubic(shift + apart, out + 64), i32x4.splat(y - 1 - ROUND_BITS))
  rows = i32x4.min_s(i32x4.max_s(rows, i32x4.splat(-4)), i32x4.splat(height))
  v128.store(out, i32x4.add(i32x4.shl(columns, 2), i32x4.mul(rows, i32x4.splat(<i32>pitch))), 128)
}

/** Weights of four pixels; gives their shifts rounded down, plus `ROUND_BITS`. */
@inline
function cubic(shift: usize, out: usize): v128 {
  const d = v128.load(shift)
  const floor = f32x4.floor(d)
  const t = f32x4.sub(d, floor)
  const s = f32x4.sub(f32x4.splat(1), t)
  const h = f32x4.mul(f32x4.mul(f32x4.splat(-0.5), t), s)
  const w0 = f32x4.mul(h, s)
  const w3 = f32x4.mul(h, t)
  v128.store(out, w0)
  v128.store(out, inner(s, w0, w3), 16)
  v128.store(out, inner(t, w3, w0), 32)
  v128.store(out, w3, 48)
  return f32x4.add(floor, f32x4.splat(ROUND))
}

/** Weight of an inner pixel of the cubic, from its nearness and the weights beyond it and across. */
@inline
function inner(near: v128, beyond: v128, across: v128): v128 {
  return f32x4.add(f32x4.sub(near, f32x4.add(beyond, beyond)), across)
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

/** Two planes at four positions, the second alpha or not; results one behind the other. */
@inline
function look(note: usize, first: usize, second: usize, pitch: usize, out: usize, alpha: bool): void {
  const zero = f32x4.splat(0)
  const places = v128.load(note, 128)
  if (v128.any_true(v128.xor(places, v128.shuffle<i32>(places, places, 0, 0, 0, 0)))) {
    lookApart(note, first, second, pitch, out, alpha)
    return
  }
  const place = i32x4.extract_lane(places, 0)
  const x0 = v128.load(note)
  const x1 = v128.load(note, 16)
  const x2 = v128.load(note, 32)
  const x3 = v128.load(note, 48)
  const y0 = v128.load(note, 64)
  const y1 = v128.load(note, 80)
  const y2 = v128.load(note, 96)
  const y3 = v128.load(note, 112)
  const s = sum(first + place, pitch, x0, x1, x2, x3, y0, y1, y2, y3, out)
  v128.store(out, s)
  const a = sum(second + place, pitch, x0, x1, x2, x3, y0, y1, y2, y3, out + 16)
  if (alpha) v128.store(out, f32x4.pmin(f32x4.pmax(a, zero), f32x4.splat(1)), 16)
  else v128.store(out, a, 16)
  if (v128.any_true(f32x4.lt(s, zero))) raise(out, first + place, pitch)
  if (!alpha && v128.any_true(f32x4.lt(a, zero))) raise(out + 16, second + place, pitch)
}

/** Sixteen taps of four pixels side by side. Sums are stored after each row: else the compiler fetches all rows first and runs out of registers. */
@inline
function sum(
  p: usize,
  pitch: usize,
  x0: v128,
  x1: v128,
  x2: v128,
  x3: v128,
  y0: v128,
  y1: v128,
  y2: v128,
  y3: v128,
  out: usize,
): v128 {
  let s = f32x4.mul(y0, side(p, x0, x1, x2, x3))
  v128.store(out, s)
  p += pitch
  s = f32x4.add(s, f32x4.mul(y1, side(p, x0, x1, x2, x3)))
  v128.store(out, s)
  p += pitch
  s = f32x4.add(s, f32x4.mul(y2, side(p, x0, x1, x2, x3)))
  v128.store(out, s)
  return f32x4.add(s, f32x4.mul(y3, side(p + pitch, x0, x1, x2, x3)))
}

/** The same for four pixels of which some look elsewhere than right beside the others: what is rare does not take registers from what is not. */
function lookApart(note: usize, first: usize, second: usize, pitch: usize, out: usize, alpha: bool): void {
  const x0 = v128.load(note)
  const x1 = v128.load(note, 16)
  const x2 = v128.load(note, 32)
  const x3 = v128.load(note, 48)
  const zero = f32x4.splat(0)
  const places = i32x4.add(v128.load(note, 128), i32x4(0, 4, 8, 12))
  const p0 = <usize>i32x4.extract_lane(places, 0)
  const p1 = <usize>i32x4.extract_lane(places, 1)
  const p2 = <usize>i32x4.extract_lane(places, 2)
  const p3 = <usize>i32x4.extract_lane(places, 3)
  for (let k = 0; k < 2; k++) {
    const from = k ? second : first
    let p = from
    let s = f32x4.mul(v128.load(note, 64), apartFour(p + p0, p + p1, p + p2, p + p3, x0, x1, x2, x3))
    p += pitch
    s = f32x4.add(s, f32x4.mul(v128.load(note, 80), apartFour(p + p0, p + p1, p + p2, p + p3, x0, x1, x2, x3)))
    p += pitch
    s = f32x4.add(s, f32x4.mul(v128.load(note, 96), apartFour(p + p0, p + p1, p + p2, p + p3, x0, x1, x2, x3)))
    p += pitch
    s = f32x4.add(s, f32x4.mul(v128.load(note, 112), apartFour(p + p0, p + p1, p + p2, p + p3, x0, x1, x2, x3)))
    if (k && alpha) s = f32x4.pmin(f32x4.pmax(s, zero), f32x4.splat(1))
    v128.store(out + (k << 4), s)
    if (v128.any_true(f32x4.lt(s, zero))) {
      raiseTo(out + (k << 4), leastOf(from + p0, from + p1, from + p2, from + p3, pitch))
    }
  }
}

/** Undershoot of four pixels side by side, raised to the lowest value under the filter, or 0. */
function raise(at: usize, p: usize, pitch: usize): void {
  raiseTo(at, leastOf(p, p + 4, p + 8, p + 12, pitch))
}

function raiseTo(at: usize, least: v128): void {
  const s = v128.load(at)
  v128.store(at, v128.bitselect(f32x4.max(s, least), s, f32x4.lt(s, f32x4.splat(0))))
}

/** Four taps of four pixels side by side; the third comes from the first and the last, since loads are what there are most of. */
@inline
function side(p: usize, x0: v128, x1: v128, x2: v128, x3: v128): v128 {
  const a = v128.load(p)
  const d = v128.load(p, 12)
  let row = f32x4.mul(x0, a)
  row = f32x4.add(row, f32x4.mul(x1, v128.load(p, 4)))
  row = f32x4.add(row, f32x4.mul(x2, v128.shuffle<i32>(a, d, 2, 3, 5, 6)))
  return f32x4.add(row, f32x4.mul(x3, d))
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
