// AssemblyScript: the SIMD twin of `scalar.ts` here and in `convert/`, row by row. Sample types: see `samples/simd.ts`.
import { four, sample } from '../samples/simd'

/** Four RGBA pixels as their reds, greens, blues, one of them. */
@inline
function channel(low: v128, high: v128, upper: bool): v128 {
  return upper ? v128.shuffle<i64>(low, high, 1, 3) : v128.shuffle<i64>(low, high, 0, 2)
}

/**
 * Luma and chroma of a row of pixels at every pixel. `k`: Kr, Kg, Kb, then 1/(2(1 − Kb)) and 1/(2(1 − Kr)). All four rows have
 * room for fours.
 */
export function lumaChromaRow(src: usize, pixels: i32, k: usize, luma: usize, cb: usize, cr: usize): void {
  const kr = v128.load32_splat(k)
  const kg = v128.load32_splat(k, 4)
  const kb = v128.load32_splat(k, 8)
  const toCb = v128.load32_splat(k, 12)
  const toCr = v128.load32_splat(k, 16)
  for (let i = 0; i < pixels; i += 4, src += 64, luma += 16, cb += 16, cr += 16) {
    const p0 = v128.load(src)
    const p1 = v128.load(src, 16)
    const p2 = v128.load(src, 32)
    const p3 = v128.load(src, 48)
    const low01 = v128.shuffle<i32>(p0, p1, 0, 4, 1, 5)
    const low23 = v128.shuffle<i32>(p2, p3, 0, 4, 1, 5)
    const red = channel(low01, low23, false)
    const green = channel(low01, low23, true)
    const blue = channel(v128.shuffle<i32>(p0, p1, 2, 6, 3, 7), v128.shuffle<i32>(p2, p3, 2, 6, 3, 7), false)
    const y = f32x4.add(f32x4.add(f32x4.mul(kr, red), f32x4.mul(kg, green)), f32x4.mul(kb, blue))
    v128.store(luma, y)
    v128.store(cb, f32x4.mul(f32x4.sub(blue, y), toCb))
    v128.store(cr, f32x4.mul(f32x4.sub(red, y), toCr))
  }
}

/** A row of pixels as a row of reds, one of greens, one of blues; all have room for fours. */
export function threeRows(src: usize, pixels: i32, r: usize, g: usize, b: usize): void {
  for (let i = 0; i < pixels; i += 4, src += 64, r += 16, g += 16, b += 16) {
    const p0 = v128.load(src)
    const p1 = v128.load(src, 16)
    const p2 = v128.load(src, 32)
    const p3 = v128.load(src, 48)
    const low01 = v128.shuffle<i32>(p0, p1, 0, 4, 1, 5)
    const low23 = v128.shuffle<i32>(p2, p3, 0, 4, 1, 5)
    v128.store(r, channel(low01, low23, false))
    v128.store(g, channel(low01, low23, true))
    v128.store(b, channel(v128.shuffle<i32>(p0, p1, 2, 6, 3, 7), v128.shuffle<i32>(p2, p3, 2, 6, 3, 7), false))
  }
}

@inline
function codes(v: v128, from: v128, gain: v128, to: v128, top: v128): v128 {
  const value = f32x4.add(f32x4.add(to, f32x4.mul(f32x4.sub(v, from), gain)), f32x4.splat(0.5))
  // What is cut off of a number that is not negative is its fraction; NaN becomes 0.
  return i32x4.trunc_sat_f32x4_s(f32x4.pmin(f32x4.pmax(value, f32x4.splat(0)), top))
}

/**
 * Samples of any type to codes of type 0 or 1: ⌊to + (sample − from)·gain + ½⌋, held to 0 … top. `k`: from, gain, to, top.
 */
export function codesRow(src: usize, type: i32, count: i32, k: usize, out: usize, outType: i32): void {
  const from = v128.load32_splat(k)
  const gain = v128.load32_splat(k, 4)
  const to = v128.load32_splat(k, 8)
  const top = v128.load32_splat(k, 12)
  const half: usize = 4 << <usize>type
  let i = 0
  for (; i + 8 <= count; i += 8, src += half << 1) {
    const a = codes(four(src, type), from, gain, to, top)
    const b = codes(four(src + half, type), from, gain, to, top)
    const words = i16x8.narrow_i32x4_u(a, b)
    if (outType === 1) {
      v128.store(out, words)
      out += 16
    } else {
      v128.store64_lane(out, i8x16.narrow_i16x8_u(words, words), 0)
      out += 8
    }
  }
  for (; i < count; i++, src += <usize>(1 << type)) {
    const code = i32x4.extract_lane(codes(f32x4.splat(sample(src, type)), from, gain, to, top), 0)
    if (outType === 1) store<u16>(out, <u16>code)
    else store<u8>(out, <u8>code)
    out += <usize>(1 << outType)
  }
}

/** Samples of any type to floats: (sample − offset) / scale. */
export function floatsRow(src: usize, type: i32, count: i32, offset: f32, scale: f32, out: usize): void {
  const from = f32x4.splat(offset)
  const by = f32x4.splat(scale)
  let i = 0
  for (; i + 4 <= count; i += 4, src += <usize>(4 << type), out += 16) {
    v128.store(out, f32x4.div(f32x4.sub(four(src, type), from), by))
  }
  for (; i < count; i++, src += <usize>(1 << type), out += 4) store<f32>(out, (sample(src, type) - offset) / scale)
}

/** Bytes or words to words with `left` more bits behind. */
export function widenRow(src: usize, type: i32, count: i32, left: i32, out: usize): void {
  let i = 0
  if (type === 0) {
    for (; i + 16 <= count; i += 16, src += 16, out += 32) {
      const v = v128.load(src)
      v128.store(out, i16x8.shl(i16x8.extend_low_i8x16_u(v), left))
      v128.store(out, i16x8.shl(i16x8.extend_high_i8x16_u(v), left), 16)
    }
    for (; i < count; i++, src++, out += 2) store<u16>(out, <u16>load<u8>(src) << <u16>left)
    return
  }
  for (; i + 8 <= count; i += 8, src += 16, out += 16) v128.store(out, i16x8.shl(v128.load(src), left))
  for (; i < count; i++, src += 2, out += 2) store<u16>(out, load<u16>(src) << <u16>left)
}

/**
 * Two rows of bytes or words (at most 12 bits) mixed in whole numbers and widened: a + (b − a)·eighths/8, doubled `left` times,
 * halves up.
 */
export function mixWidenRow(a: usize, b: usize, type: i32, eighths: i32, count: i32, left: i32, out: usize): void {
  const wa = i16x8.splat(<i16>(8 - eighths))
  const wb = i16x8.splat(<i16>eighths)
  const up = max(left - 3, 0)
  const down = max(3 - left, 0)
  const half: i32 = down > 0 ? 1 << (down - 1) : 0
  const more = i16x8.splat(<i16>half)
  let i = 0
  for (; i + 8 <= count; i += 8, out += 16) {
    const va = type === 0 ? v128.load_ext<u8>(a) : v128.load(a)
    const vb = type === 0 ? v128.load_ext<u8>(b) : v128.load(b)
    const v = i16x8.add(i16x8.add(i16x8.mul(va, wa), i16x8.mul(vb, wb)), more)
    v128.store(out, i16x8.shl(i16x8.shr_u(v, down), up))
    a += 8 << <usize>type
    b += 8 << <usize>type
  }
  for (; i < count; i++, out += 2) {
    const va = type === 0 ? <i32>load<u8>(a) : <i32>load<u16>(a)
    const vb = type === 0 ? <i32>load<u8>(b) : <i32>load<u16>(b)
    store<u16>(out, <u16>(((va * (8 - eighths) + vb * eighths + half) >> down) << up))
    a += <usize>(1 << type)
    b += <usize>(1 << type)
  }
}
