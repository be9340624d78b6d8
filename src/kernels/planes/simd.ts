// AssemblyScript: the SIMD twin of `scalar.ts`, `patchScalar.ts` (but for `settle/`) and `peakScalar.ts`, row by row. Sample types: 0 bytes, 1 words of 16 bits, 2 floats.

import { four, sample } from '../samples/simd'

@inline
function shift(type: i32): usize {
  return <usize>type
}

/** Two rows mixed, out = a + (b − a)·w; row `a` alone where w is 0. */
export function mixRows(a: usize, b: usize, type: i32, w: f32, count: i32, out: usize): void {
  const by = f32x4.splat(w)
  const step: usize = 4 << shift(type)
  const one: usize = 1 << shift(type)
  let i = 0
  if (w === 0) {
    for (; i + 4 <= count; i += 4, a += step, out += 16) v128.store(out, four(a, type))
    for (; i < count; i++, a += one, out += 4) store<f32>(out, sample(a, type))
    return
  }
  for (; i + 4 <= count; i += 4, a += step, b += step, out += 16) {
    const v = four(a, type)
    v128.store(out, f32x4.add(v, f32x4.mul(f32x4.sub(four(b, type), v), by)))
  }
  for (; i < count; i++, a += one, b += one, out += 4) {
    const v = sample(a, type)
    store<f32>(out, v + (sample(b, type) - v) * w)
  }
}

/** A row between samples: out[i] = a + (b − a)·w with a, b = row[index[2i]], row[index[2i + 1]], w = weight[2i + 1]. */
export function between(row: usize, index: usize, weight: usize, count: i32, out: usize): void {
  for (let i = 0; i < count; i++, index += 8, weight += 8, out += 4) {
    const a = load<f32>(row + (<usize>load<i32>(index) << 2))
    const b = load<f32>(row + (<usize>load<i32>(index, 4) << 2))
    store<f32>(out, a + (b - a) * load<f32>(weight, 4))
  }
}

/**
 * The same for two sites a sample: pairs i = 0 … of out[2i], out[2i + 1] from samples i, i + 1 (+ `back` for the first
 * of the two), with one weight each.
 */
export function betweenTwo(row: usize, back: i32, w0: f32, w1: f32, pairs: i32, out: usize): void {
  const even = f32x4.splat(w0)
  const odd = f32x4.splat(w1)
  const before = <usize>(back << 2)
  let i = 0
  for (; i + 4 <= pairs; i += 4, row += 16, out += 32) {
    const a = v128.load(row)
    const b = v128.load(row, 4)
    const e0 = v128.load(row - before)
    const e1 = v128.load(row - before, 4)
    const e = f32x4.add(e0, f32x4.mul(f32x4.sub(e1, e0), even))
    const o = f32x4.add(a, f32x4.mul(f32x4.sub(b, a), odd))
    v128.store(out, v128.shuffle<i32>(e, o, 0, 4, 1, 5))
    v128.store(out, v128.shuffle<i32>(e, o, 2, 6, 3, 7), 16)
  }
  for (; i < pairs; i++, row += 4, out += 8) {
    const e0 = load<f32>(row - before)
    const e1 = load<f32>(row - before, 4)
    const a = load<f32>(row)
    store<f32>(out, e0 + (e1 - e0) * w0)
    store<f32>(out, a + (load<f32>(row, 4) - a) * w1, 4)
  }
}

/** `k`: luma offset and scale, chroma offset, then red of Cr, green of Cb, green of Cr, blue of Cb. */
export function yuvRow(luma: usize, type: i32, cb: usize, cr: usize, count: i32, k: usize, out: usize): void {
  const lumaOffset = load<f32>(k)
  const lumaScale = load<f32>(k, 4)
  const offset = load<f32>(k, 8)
  const redCr = load<f32>(k, 12)
  const greenCb = load<f32>(k, 16)
  const greenCr = load<f32>(k, 20)
  const blueCb = load<f32>(k, 24)
  const one = f32x4.splat(1)
  const step: usize = 4 << shift(type)
  let i = 0
  for (; i + 4 <= count; i += 4, luma += step, cb += 16, cr += 16, out += 64) {
    const y = f32x4.div(f32x4.sub(four(luma, type), f32x4.splat(lumaOffset)), f32x4.splat(lumaScale))
    const u = f32x4.sub(v128.load(cb), f32x4.splat(offset))
    const v = f32x4.sub(v128.load(cr), f32x4.splat(offset))
    const r = f32x4.add(y, f32x4.mul(f32x4.splat(redCr), v))
    const g = f32x4.add(f32x4.add(y, f32x4.mul(f32x4.splat(greenCr), v)), f32x4.mul(f32x4.splat(greenCb), u))
    const b = f32x4.add(y, f32x4.mul(f32x4.splat(blueCb), u))
    storeFour(r, g, b, one, out)
  }
  for (; i < count; i++, luma += <usize>(1 << type), cb += 4, cr += 4, out += 16) {
    const y = (sample(luma, type) - lumaOffset) / lumaScale
    const u = load<f32>(cb) - offset
    const v = load<f32>(cr) - offset
    store<f32>(out, y + redCr * v)
    store<f32>(out, y + greenCr * v + greenCb * u, 4)
    store<f32>(out, y + blueCb * u, 8)
    store<f32>(out, 1, 12)
  }
}

/** A full-size plane into one channel of the picture (`out` at that channel): (sample − offset) / scale; floats as they are. */
export function planeRow(src: usize, type: i32, count: i32, offset: f32, scale: f32, out: usize): void {
  const from = f32x4.splat(offset)
  const by = f32x4.splat(scale)
  const step: usize = 4 << shift(type)
  let i = 0
  for (; i + 4 <= count; i += 4, src += step, out += 64) {
    let v = four(src, type)
    if (type !== 2) v = f32x4.div(f32x4.sub(v, from), by)
    v128.store32_lane(out, v, 0)
    v128.store32_lane(out, v, 1, 16)
    v128.store32_lane(out, v, 2, 32)
    v128.store32_lane(out, v, 3, 48)
  }
  for (; i < count; i++, src += <usize>(1 << type), out += 16) {
    store<f32>(out, type === 2 ? load<f32>(src) : (sample(src, type) - offset) / scale)
  }
}

/** Full-size planes R, G, B as a row of opaque pixels: (sample − offset) / scale; floats as they are. */
export function rgbRow(r: usize, g: usize, b: usize, type: i32, count: i32, offset: f32, scale: f32, out: usize): void {
  const from = f32x4.splat(offset)
  const by = f32x4.splat(scale)
  const one = f32x4.splat(1)
  const step: usize = 4 << shift(type)
  let i = 0
  for (; i + 4 <= count; i += 4, r += step, g += step, b += step, out += 64) {
    let red = four(r, type)
    let green = four(g, type)
    let blue = four(b, type)
    if (type !== 2) {
      red = f32x4.div(f32x4.sub(red, from), by)
      green = f32x4.div(f32x4.sub(green, from), by)
      blue = f32x4.div(f32x4.sub(blue, from), by)
    }
    storeFour(red, green, blue, one, out)
  }
  for (; i < count; i++, r += <usize>(1 << type), g += <usize>(1 << type), b += <usize>(1 << type), out += 16) {
    store<f32>(out, type === 2 ? load<f32>(r) : (sample(r, type) - offset) / scale)
    store<f32>(out, type === 2 ? load<f32>(g) : (sample(g, type) - offset) / scale, 4)
    store<f32>(out, type === 2 ? load<f32>(b) : (sample(b, type) - offset) / scale, 8)
    store<f32>(out, 1, 12)
  }
}

/** Four pixels from four reds, greens, blues and alphas. */
@inline
function storeFour(r: v128, g: v128, b: v128, one: v128, out: usize): void {
  const rg0 = v128.shuffle<i32>(r, g, 0, 4, 1, 5)
  const rg1 = v128.shuffle<i32>(r, g, 2, 6, 3, 7)
  const ba0 = v128.shuffle<i32>(b, one, 0, 4, 1, 5)
  const ba1 = v128.shuffle<i32>(b, one, 2, 6, 3, 7)
  v128.store(out, v128.shuffle<i64>(rg0, ba0, 0, 2))
  v128.store(out, v128.shuffle<i64>(rg0, ba0, 1, 3), 16)
  v128.store(out, v128.shuffle<i64>(rg1, ba1, 0, 2), 32)
  v128.store(out, v128.shuffle<i64>(rg1, ba1, 1, 3), 48)
}

/** The ends of a row once more on both sides. */
export function repeatEnds(row: usize, count: i32): void {
  store<f32>(row - 4, load<f32>(row))
  const end = row + (<usize>count << 2)
  const last = load<f32>(end - 4)
  store<f32>(end, last)
  store<f32>(end, last, 4)
}

/** One channel of a row of pixels. */
export function channelRow(src: usize, pixels: i32, out: usize): void {
  let i = 0
  for (; i + 4 <= pixels; i += 4, src += 64, out += 16) {
    let v = v128.load32_zero(src)
    v = v128.load32_lane(src, v, 1, 16)
    v = v128.load32_lane(src, v, 2, 32)
    v = v128.load32_lane(src, v, 3, 48)
    v128.store(out, v)
  }
  for (; i < pixels; i++, src += 16, out += 4) store<f32>(out, load<f32>(src))
}

/** Samples of any type as floats. */
export function floatRow(src: usize, type: i32, count: i32, out: usize): void {
  const one = <usize>(1 << type)
  let i = 0
  for (; i + 4 <= count; i += 4, src += 4 * one, out += 16) v128.store(out, four(src, type))
  for (; i < count; i++, src += one, out += 4) store<f32>(out, sample(src, type))
}

/** `n` taps a site: Σ weight·row[index]; a sample of weight 0 is not looked at. */
export function filterTaps(row: usize, index: usize, weight: usize, n: i32, count: i32, out: usize): void {
  for (let i = 0; i < count; i++, out += 4) {
    let sum: f32 = 0
    for (let k = 0; k < n; k++, index += 4, weight += 4) {
      const w = load<f32>(weight)
      if (w !== 0) sum += w * load<f32>(row + (<usize>load<i32>(index) << 2))
    }
    store<f32>(out, sum)
  }
}

/** The same for sites two samples apart whose four taps start at `row` and have the same weights at every site. */
export function filterHalf(row: usize, w: usize, count: i32, out: usize): void {
  const w0 = v128.load32_splat(w)
  const w1 = v128.load32_splat(w, 4)
  const w2 = v128.load32_splat(w, 8)
  const w3 = v128.load32_splat(w, 12)
  const four = load<f32>(w, 12) !== 0
  const zero = f32x4.splat(0)
  for (let i = 0; i < count; i += 4, row += 32, out += 16) {
    const a = v128.load(row)
    const b = v128.load(row, 16)
    const c = v128.load(row, 8)
    const d = v128.load(row, 24)
    let sum = f32x4.add(zero, f32x4.mul(w0, v128.shuffle<i32>(a, b, 0, 2, 4, 6)))
    sum = f32x4.add(sum, f32x4.mul(w1, v128.shuffle<i32>(a, b, 1, 3, 5, 7)))
    sum = f32x4.add(sum, f32x4.mul(w2, v128.shuffle<i32>(c, d, 0, 2, 4, 6)))
    if (four) sum = f32x4.add(sum, f32x4.mul(w3, v128.shuffle<i32>(c, d, 1, 3, 5, 7)))
    v128.store(out, sum)
  }
}

/** sum += w·row; `count` is rounded up to fours. */
export function addRow(sum: usize, row: usize, w: f32, count: i32): void {
  const by = f32x4.splat(w)
  for (let i: usize = 0, n = <usize>count << 2; i < n; i += 16) {
    v128.store(sum + i, f32x4.add(v128.load(sum + i), f32x4.mul(by, v128.load(row + i))))
  }
}

/** Three samples beyond both ends of a row, mirrored with the end's own sample twice; short rows repeat their end. */
export function mirrorEnds(row: usize, count: i32): void {
  const end = row + (<usize>count << 2)
  for (let i = 0; i < 3; i++) {
    const k = <usize>min(i, count - 1) << 2
    store<f32>(row - (<usize>(i + 1) << 2), load<f32>(row + k))
    store<f32>(end + (<usize>i << 2), load<f32>(end - 4 - k))
  }
}

/** Touched colour held to 0…1, or to the plate's own where that goes further. */
export function peakRow(code: usize, own: usize, touched: usize, pixels: i32): void {
  let i = 0
  for (; i + 8 <= pixels; i += 8, code += 128, own += 128, touched += 8) {
    const mask = load<u64>(touched)
    if (mask === 0) continue
    if (mask === 0x0101010101010101) {
      for (let k: usize = 0; k < 128; k += 32) {
        v128.store(code + k, heldToPeak(code + k, own + k))
        v128.store(code + k, heldToPeak(code + k + 16, own + k + 16), 16)
      }
    } else peakSome(code, own, touched, 8)
  }
  peakSome(code, own, touched, pixels - i)
}

/** The same, a pixel at a time. */
function peakSome(code: usize, own: usize, touched: usize, pixels: i32): void {
  for (let i = 0; i < pixels; i++, code += 16, own += 16, touched++) {
    if (load<u8>(touched)) v128.store(code, heldToPeak(code, own))
  }
}

/** Alpha is held to nothing. */
@inline
function heldToPeak(code: usize, own: usize): v128 {
  const before = v128.load(own)
  const low = f32x4.pmin(f32x4(0, 0, 0, -Infinity), before)
  const high = f32x4.pmax(f32x4(1, 1, 1, Infinity), before)
  return f32x4.pmin(f32x4.pmax(v128.load(code), low), high)
}
