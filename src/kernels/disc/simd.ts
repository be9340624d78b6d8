// AssemblyScript: the SIMD twin of `scalar.ts`.

const STEP: f32 = 1.0 / 524288.0
const LIMIT: f32 = 65504
/** 1.5·2²³: added to a float, it leaves a whole number (halves to even) in its last bits. */
const ROUND: f32 = 12582912
const ROUND_BITS: i32 = 0x4b400000

/**
 * A source row between `pad` zeros: rounded values at `row`, prefix sums of their parts at `low` and `high`. At `span`: first
 * pixel that is not 0 and the one behind the last, both with the padding, and whether any value has a high part.
 */
export function discLoad(src: usize, width: i32, pad: i32, row: usize, low: usize, high: usize, span: usize): void {
  let start = 0
  let end = 0
  let bright = v128.splat<i32>(0)
  let sumLow = v128.splat<i32>(0)
  let sumHigh = v128.splat<i32>(0)
  row += <usize>pad << 4
  low += <usize>pad << 4
  high += <usize>pad << 4
  for (let i = 0; i < width; i++, src += 16, row += 16) {
    const v = v128.load(src)
    const finite = f32x4.eq(f32x4.sub(v, v), f32x4.splat(0))
    const clamped = f32x4.pmin(f32x4.pmax(v, f32x4.splat(-LIMIT)), f32x4.splat(LIMIT))
    const held = v128.and(clamped, finite)
    const roundH = f32x4.add(f32x4.mul(held, f32x4.splat(0.125)), f32x4.splat(ROUND))
    const h = f32x4.sub(roundH, f32x4.splat(ROUND))
    const rest = f32x4.sub(held, f32x4.mul(h, f32x4.splat(8)))
    const roundL = f32x4.add(f32x4.mul(rest, f32x4.splat(524288)), f32x4.splat(ROUND))
    const l = f32x4.sub(roundL, f32x4.splat(ROUND))
    const rounded = f32x4.add(f32x4.mul(h, f32x4.splat(8)), f32x4.mul(l, f32x4.splat(STEP)))
    v128.store(row, rounded)
    low += 16
    high += 16
    sumLow = i32x4.add(sumLow, i32x4.sub(roundL, i32x4.splat(ROUND_BITS)))
    const whole = i32x4.sub(roundH, i32x4.splat(ROUND_BITS))
    sumHigh = i32x4.add(sumHigh, whole)
    bright = v128.or(bright, whole)
    v128.store(low, sumLow)
    v128.store(high, sumHigh)
    if (v128.any_true(f32x4.ne(rounded, f32x4.splat(0)))) {
      if (end === 0) start = pad + i
      end = pad + i + 1
    }
  }
  for (let i = 0; i < pad; i++) {
    low += 16
    high += 16
    v128.store(low, sumLow)
    v128.store(high, sumHigh)
  }
  store<i32>(span, start)
  store<i32>(span, end, 4)
  store<i32>(span, v128.any_true(bright) ? 1 : 0, 8)
}

/** One kernel row, added to the output rows `above` and `below` (0: none), from padded pixel `first` on. */
export function discRow(
  row: usize,
  low: usize,
  high: usize,
  bright: i32,
  first: i32,
  count: i32,
  full: i32,
  weight: f32,
  edge: usize,
  edges: i32,
  above: usize,
  below: usize,
): void {
  const at = row + (<usize>first << 4)
  let next = 1
  if (full < 0) {
    const w = f32x4.splat(load<f32>(edge))
    for (let i: usize = 0, n = <usize>count << 4; i < n; i += 16) {
      put(f32x4.mul(w, v128.load(at + i)), above, below, i)
    }
  } else {
    const one = <usize>(full + 1) << 4
    const span = low + (<usize>first << 4)
    const from = span - (<usize>full << 4)
    const to = span + one
    const highFrom = from - low + high
    const highTo = to - low + high
    const step = f32x4.splat(STEP)
    const eight = f32x4.splat(8)
    const by = f32x4.splat(weight)
    const w0 = f32x4.splat(edges > 0 ? load<f32>(edge) : 0)
    const w1 = f32x4.splat(edges > 1 ? load<f32>(edge, 4) : 0)
    next = 2
    const n = <usize>count << 4
    let i: usize = 0
    // The commonest rows two pixels at a time: half the addresses, and nothing to ask.
    const pairs = !bright && below ? n & ~31 : 0
    if (edges === 1) {
      for (; i < pairs; i += 32) {
        const left = at - one + i
        const right = at + one + i
        let a = f32x4.mul(by, f32x4.mul(runOf(to + i, from + i, 0), step))
        let b = f32x4.mul(by, f32x4.mul(runOf(to + i, from + i, 16), step))
        a = f32x4.add(a, f32x4.mul(w0, f32x4.add(v128.load(right), v128.load(left))))
        b = f32x4.add(b, f32x4.mul(w0, f32x4.add(v128.load(right, 16), v128.load(left, 16))))
        putTwo(a, b, above + i)
        putTwo(a, b, below + i)
      }
    } else if (edges > 1) {
      for (; i < pairs; i += 32) {
        const left = at - one + i - 16
        const right = at + one + i
        let a = f32x4.mul(by, f32x4.mul(runOf(to + i, from + i, 0), step))
        let b = f32x4.mul(by, f32x4.mul(runOf(to + i, from + i, 16), step))
        const l1 = v128.load(left, 16)
        const r1 = v128.load(right, 16)
        a = f32x4.add(a, f32x4.mul(w0, f32x4.add(v128.load(right), l1)))
        b = f32x4.add(b, f32x4.mul(w0, f32x4.add(r1, v128.load(left, 32))))
        a = f32x4.add(a, f32x4.mul(w1, f32x4.add(r1, v128.load(left))))
        b = f32x4.add(b, f32x4.mul(w1, f32x4.add(v128.load(right, 32), l1)))
        putTwo(a, b, above + i)
        putTwo(a, b, below + i)
      }
    }
    for (; i < n; i += 16) {
      let run = f32x4.mul(f32x4.convert_i32x4_s(i32x4.sub(v128.load(to + i), v128.load(from + i))), step)
      if (bright) {
        const h = f32x4.convert_i32x4_s(i32x4.sub(v128.load(highTo + i), v128.load(highFrom + i)))
        run = f32x4.add(run, f32x4.mul(h, eight))
      }
      let sum = f32x4.mul(by, run)
      if (edges > 0) {
        sum = f32x4.add(sum, f32x4.mul(w0, f32x4.add(v128.load(at + one + i), v128.load(at - one + i))))
      }
      if (edges > 1) {
        sum = f32x4.add(sum, f32x4.mul(w1, f32x4.add(v128.load(at + one + i, 16), v128.load(at - one + i - 16))))
      }
      put(sum, above, below, i)
    }
  }
  for (let e = next; e < edges; e++) {
    const w = f32x4.splat(load<f32>(edge + (<usize>e << 2)))
    const reach = <usize>(full + 1 + e) << 4
    for (let i: usize = 0, n = <usize>count << 4; i < n; i += 16) {
      put(f32x4.mul(w, f32x4.add(v128.load(at + reach + i), v128.load(at - reach + i))), above, below, i)
    }
  }
}

/** Whole steps between two prefix sums. */
@inline
function runOf(to: usize, from: usize, offset: usize): v128 {
  return f32x4.convert_i32x4_s(i32x4.sub(v128.load(to + offset), v128.load(from + offset)))
}

@inline
function putTwo(a: v128, b: v128, at: usize): void {
  v128.store(at, f32x4.add(v128.load(at), a))
  v128.store(at, f32x4.add(v128.load(at, 16), b), 16)
}

@inline
function put(v: v128, above: usize, below: usize, i: usize): void {
  v128.store(above + i, f32x4.add(v128.load(above + i), v))
  if (below) v128.store(below + i, f32x4.add(v128.load(below + i), v))
}
