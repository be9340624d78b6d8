// AssemblyScript: the SIMD twin of `scalar.ts`.
import { bright, end, loadRow, start } from '../disc/simd'

const STEP: f32 = 1.0 / 524288.0

/**
 * Spreads the rows of a part of a picture, one shape all over it.
 *
 * @param src first pixel of the part, rows of `line` bytes
 * @param out where that pixel lies in the blurred picture, rows of `outLine` bytes
 * @param table a row of the shape each: rows down, first pixel of the run, the one behind it, pairs of edges, the pairs' address;
 *   a pair is bytes to the left and weight, twice
 * @param room three rows of `width` + 4·reach + 6 pixels
 */
export function apertureRows(
  src: usize,
  line: usize,
  width: i32,
  height: i32,
  out: usize,
  outLine: i32,
  table: usize,
  rows: i32,
  reach: i32,
  weight: f32,
  room: usize,
): void {
  const pad = 2 * reach + 1
  const wide = width + 2 * pad
  const size = <usize>(wide + 4) << 4
  const low = room + size
  const high = low + size
  for (let y = 0; y < height; y++, src += line, out += outLine) {
    loadRow(src, width, -pad, wide, room, low, high)
    if (start >= end) continue
    // Only the pixels that see any of the row.
    const first = max(start - pad - reach, -reach)
    const last = min(end - pad + reach, width + reach)
    const bytes = <usize>max(last - first, 0) << 4
    const from = <usize>(first + pad) << 4
    const to = out + (first << 4)
    for (let k = 0; k < rows; k++) {
      const entry = table + <usize>(20 * k)
      spread(
        room + from,
        low + from,
        bright ? high + from : 0,
        to + i32.load(entry) * outLine,
        bytes,
        i32.load(entry, 4),
        i32.load(entry, 8),
        i32.load(entry, 12),
        <usize>i32.load(entry, 16),
        weight,
      )
    }
  }
}

/** One row of the shape, added to one row of the picture. */
function spread(
  row: usize,
  low: usize,
  high: usize,
  out: usize,
  bytes: usize,
  from: i32,
  to: i32,
  pairs: i32,
  pair: usize,
  weight: f32,
): void {
  if (to > from) {
    run(row, low, high, out, bytes, from, to, pair, weight)
    pairs--
    pair += 16
  }
  for (; pairs > 0; pairs--, pair += 16) {
    const r0 = row + i32.load(pair)
    const r1 = row + i32.load(pair, 8)
    const w0 = f32x4.splat(f32.load(pair, 4))
    const w1 = f32x4.splat(f32.load(pair, 12))
    for (let i: usize = 0; i < bytes; i += 16) {
      const sum = f32x4.add(f32x4.mul(w0, v128.load(r0 + i)), f32x4.mul(w1, v128.load(r1 + i)))
      v128.store(out + i, f32x4.add(v128.load(out + i), sum))
    }
  }
}

function run(
  row: usize,
  low: usize,
  high: usize,
  out: usize,
  bytes: usize,
  from: i32,
  to: i32,
  pair: usize,
  weight: f32,
): void {
  const a = (1 - to) << 4
  const b = (1 - from) << 4
  const r0 = row + i32.load(pair)
  const r1 = row + i32.load(pair, 8)
  const w0 = f32x4.splat(f32.load(pair, 4))
  const w1 = f32x4.splat(f32.load(pair, 12))
  const by = f32x4.splat(weight)
  // A power of two: the product is the same to the bit.
  const byStep = f32x4.splat(weight * STEP)
  for (let i: usize = 0; i < bytes; i += 16) {
    const l = f32x4.convert_i32x4_s(i32x4.sub(v128.load(low + b + i), v128.load(low + a + i)))
    let sum: v128
    if (high === 0) sum = f32x4.mul(byStep, l)
    else {
      const h = f32x4.convert_i32x4_s(i32x4.sub(v128.load(high + b + i), v128.load(high + a + i)))
      sum = f32x4.mul(by, f32x4.add(f32x4.mul(l, f32x4.splat(STEP)), f32x4.mul(h, f32x4.splat(8))))
    }
    sum = f32x4.add(sum, f32x4.mul(w0, v128.load(r0 + i)))
    sum = f32x4.add(sum, f32x4.mul(w1, v128.load(r1 + i)))
    v128.store(out + i, f32x4.add(v128.load(out + i), sum))
  }
}
