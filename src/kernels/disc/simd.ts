// AssemblyScript: the SIMD twin of `scalar.ts`.

const STEP: f32 = 1.0 / 524288.0
const LIMIT: f32 = 65504
/** 1.5·2²³: added to a float, it leaves a whole number (halves to even) in its last bits. */
const ROUND: f32 = 12582912
const ROUND_BITS: i32 = 0x4b400000
/** Pixels that are looked at together when a row is empty in places. */
const BLOCK = 8

/** Of the row that was loaded last: where it is not 0, from the first pixel to behind the last, and whether any has a high part. */
export let start = 0
export let end = 0
export let bright = false

/**
 * A strip of columns of the blurred picture. The rows that a source row adds to stand in `room`, which a core's own cache
 * holds; each goes out once, when nothing more is added to it.
 *
 * @param src first pixel of the source, rows of `line` bytes
 * @param column source column in the middle of the strip's first pixel; may lie outside
 * @param out the strip's first pixel in the upper row, rows of `outLine` bytes, `by` rows beyond the source above and below
 * @param disc a kernel row each: pixels wholly covered, weights of the edge, the weights' address, 0
 * @param room 2·reach + 1 rows of `count` pixels behind three of `count` + 2·reach + 6
 */
export function discStrip(
  src: usize,
  line: usize,
  width: i32,
  height: i32,
  column: i32,
  out: usize,
  outLine: usize,
  count: i32,
  by: i32,
  disc: usize,
  reach: i32,
  weight: f32,
  room: usize,
): void {
  const side = reach + 1
  const wide = count + 2 * side
  const size = <usize>(wide + 4) << 4
  const low = room + size
  const high = low + size
  const rows = high + size
  const whole = <usize>count << 4
  const slots = 2 * reach + 1
  memory.fill(rows, 0, <usize>slots * whole)
  for (let o = reach; o < by; o++, out += outLine) memory.fill(out, 0, whole)
  for (let y = 0; y < height; y++, src += line, out += outLine) {
    loadRow(src, width, column - side, wide, room, low, high)
    if (start < end) addRow(y, count, disc, reach, weight, room, low, high, rows)
    give(out, rows + <usize>((y + slots - reach) % slots) * whole, whole)
  }
  for (let y = height; y < height + 2 * reach; y++, out += outLine) {
    give(out, rows + <usize>((y + slots - reach) % slots) * whole, whole)
  }
  for (let o = reach; o < by; o++, out += outLine) memory.fill(out, 0, whole)
}

/** What the loaded row, row `y` of the source, gives the rows around it. */
function addRow(
  y: i32,
  count: i32,
  disc: usize,
  reach: i32,
  weight: f32,
  row: usize,
  low: usize,
  high: usize,
  rows: usize,
): void {
  const side = reach + 1
  const whole = <usize>count << 4
  const slots = 2 * reach + 1
  // Pixels of the strip that see any of it.
  const first = max(start - side - reach, 0)
  const last = min(end - side + reach, count)
  const from = <usize>(first + side) << 4
  const bytes = <usize>max(last - first, 0) << 4
  const to = rows + (<usize>first << 4)
  for (let k = 0; k <= reach; k++) {
    const entry = disc + (<usize>k << 4)
    const full = i32.load(entry)
    const edges = i32.load(entry, 4)
    const edge = <usize>i32.load(entry, 8)
    const above = to + <usize>((y + slots - k) % slots) * whole
    const below = k === 0 ? 0 : to + <usize>((y + k) % slots) * whole
    if (full < 0) spot(row + from, bytes, edge, edges, above, below)
    else run(row + from, low + from, bright ? high + from : 0, bytes, full, weight, edge, edges, above, below)
  }
}

/** A row that is done goes out and leaves zeros. */
function give(out: usize, row: usize, bytes: usize): void {
  const zero = v128.splat<i32>(0)
  for (let i: usize = 0; i < bytes; i += 16) {
    v128.store(out + i, v128.load(row + i))
    v128.store(row + i, zero)
  }
}

/**
 * `wide` pixels of a source row from column `first` on, zeros where it ends: rounded values at `row`, prefix sums of their parts
 * at `low`, and at `high` where any has a high part.
 */
export function loadRow(
  src: usize,
  width: i32,
  first: i32,
  wide: i32,
  row: usize,
  low: usize,
  high: usize,
): void {
  const before = min(max(-first, 0), wide)
  const inside = min(width - first, wide)
  src += <usize>(first + before) << 4
  memory.fill(row, 0, <usize>before << 4)
  memory.fill(low, 0, <usize>(before + 1) << 4)
  let sum = v128.splat<i32>(0)
  let some = v128.splat<i32>(0)
  let from = wide
  let to = 0
  for (let i = before; i < inside; ) {
    const next = min(i + BLOCK, inside)
    let any = v128.splat<i32>(0)
    for (let at = <usize>i << 4, till = <usize>next << 4; at < till; at += 16, src += 16) {
      const held = heldAt(src)
      const h = f32x4.sub(f32x4.add(f32x4.mul(held, f32x4.splat(0.125)), f32x4.splat(ROUND)), f32x4.splat(ROUND))
      const high = f32x4.mul(h, f32x4.splat(8))
      const roundL = f32x4.add(f32x4.mul(f32x4.sub(held, high), f32x4.splat(524288)), f32x4.splat(ROUND))
      const l = f32x4.sub(roundL, f32x4.splat(ROUND))
      const rounded = f32x4.add(high, f32x4.mul(l, f32x4.splat(STEP)))
      v128.store(row + at, rounded)
      sum = i32x4.add(sum, i32x4.sub(roundL, i32x4.splat(ROUND_BITS)))
      v128.store(low + at, sum, 16)
      some = v128.or(some, h)
      any = v128.or(any, rounded)
    }
    if (v128.any_true(f32x4.ne(any, f32x4.splat(0)))) {
      if (to === 0) from = i
      to = next
    }
    i = next
  }
  for (let at = <usize>max(inside, before) << 4, till = <usize>wide << 4; at < till; at += 16) {
    v128.store(row + at, v128.splat<i32>(0))
    v128.store(low + at, sum, 16)
  }
  start = from
  end = to
  bright = v128.any_true(f32x4.ne(some, f32x4.splat(0)))
  if (bright) sumHigh(src - (<usize>max(inside - before, 0) << 4), before, inside, wide, high)
}

/** Prefix sums of the high parts. */
function sumHigh(src: usize, before: i32, inside: i32, wide: i32, high: usize): void {
  let sum = v128.splat<i32>(0)
  memory.fill(high, 0, <usize>(before + 1) << 4)
  for (let i = before; i < wide; i++, src += 16) {
    if (i < inside) {
      const round = f32x4.add(f32x4.mul(heldAt(src), f32x4.splat(0.125)), f32x4.splat(ROUND))
      sum = i32x4.add(sum, i32x4.sub(round, i32x4.splat(ROUND_BITS)))
    }
    v128.store(high + (<usize>i << 4), sum, 16)
  }
}

/** A pixel as it counts. */
@inline
function heldAt(src: usize): v128 {
  const v = v128.load(src)
  const finite = f32x4.eq(f32x4.sub(v, v), f32x4.splat(0))
  return v128.and(f32x4.pmin(f32x4.pmax(v, f32x4.splat(-LIMIT)), f32x4.splat(LIMIT)), finite)
}

/** One kernel row with pixels that are wholly covered, added to the output rows `above` and `below` (0: none). */
function run(
  at: usize,
  low: usize,
  high: usize,
  bytes: usize,
  full: i32,
  weight: f32,
  edge: usize,
  edges: i32,
  above: usize,
  below: usize,
): void {
  const one = <usize>(full + 1) << 4
  const from = low - (<usize>full << 4)
  const to = low + one
  const by = f32x4.splat(weight)
  // A power of two: the product is the same to the bit.
  const byStep = f32x4.splat(weight * STEP)
  const w0 = f32x4.splat(edges > 0 ? f32.load(edge) : 0)
  const w1 = f32x4.splat(edges > 1 ? f32.load(edge, 4) : 0)
  const left = at - one
  const right = at + one
  let next = 2
  let i: usize = 0
  // Two pixels at a time where there is no high part: half the addresses. What the next two need of the edges is kept.
  const pairs = high === 0 ? bytes & ~31 : 0
  if (edges === 1) {
    for (; i < pairs; i += 32) {
      const a = withEdge(middle(to + i, from + i, 0, byStep), w0, left + i, right + i, 0)
      const b = withEdge(middle(to + i, from + i, 16, byStep), w0, left + i, right + i, 16)
      putTwo(a, b, above + i)
      if (below) putTwo(a, b, below + i)
    }
  } else if (edges === 2) {
    let l1 = v128.load(left - 16)
    let r0 = v128.load(right)
    for (; i < pairs; i += 32) {
      const l = v128.load(left + i)
      const r1 = v128.load(right + i, 16)
      const a = twoEdges(middle(to + i, from + i, 0, byStep), w0, r0, l, w1, r1, l1)
      l1 = v128.load(left + i, 16)
      r0 = v128.load(right + i, 32)
      const b = twoEdges(middle(to + i, from + i, 16, byStep), w0, r1, l1, w1, r0, l)
      putTwo(a, b, above + i)
      if (below) putTwo(a, b, below + i)
    }
  } else if (edges > 2) {
    next = 3
    const w2 = f32x4.splat(f32.load(edge, 8))
    let l2 = v128.load(left - 32)
    let l1 = v128.load(left - 16)
    let r0 = v128.load(right)
    let r1 = v128.load(right, 16)
    for (; i < pairs; i += 32) {
      const l = v128.load(left + i)
      const r2 = v128.load(right + i, 32)
      const a = twoEdges(middle(to + i, from + i, 0, byStep), w0, r0, l, w1, r1, l1)
      const c = f32x4.mul(w2, f32x4.add(r2, l2))
      const m = v128.load(left + i, 16)
      const r3 = v128.load(right + i, 48)
      const b = twoEdges(middle(to + i, from + i, 16, byStep), w0, r1, m, w1, r2, l)
      const d = f32x4.mul(w2, f32x4.add(r3, l1))
      putFour(a, b, c, d, above + i)
      if (below) putFour(a, b, c, d, below + i)
      l2 = l
      l1 = m
      r0 = r2
      r1 = r3
    }
  }
  const done = i
  for (; i < bytes; i += 16) {
    let sum = f32x4.mul(runOf(to + i, from + i, 0), f32x4.splat(STEP))
    if (high !== 0) {
      const h = runOf(to - low + high + i, from - low + high + i, 0)
      sum = f32x4.add(sum, f32x4.mul(h, f32x4.splat(8)))
    }
    sum = f32x4.mul(by, sum)
    if (edges > 0) sum = withEdge(sum, w0, left + i, right + i, 0)
    if (edges > 1) sum = withEdge(sum, w1, left + i - 16, right + i + 16, 0)
    put(sum, above, below, i)
  }
  edgesFrom(2, next, at, bytes, done, full, edge, edges, above, below)
}

/** One kernel row without any pixel that is wholly covered. */
function spot(at: usize, bytes: usize, edge: usize, edges: i32, above: usize, below: usize): void {
  let i: usize = 0
  const w0 = f32x4.splat(f32.load(edge))
  const w1 = f32x4.splat(edges > 1 ? f32.load(edge, 4) : 0)
  const w2 = f32x4.splat(edges > 2 ? f32.load(edge, 8) : 0)
  if (edges === 3 && below !== 0) {
    for (; i < bytes; i += 16) {
      const p = at + i
      const a = f32x4.mul(w0, v128.load(p))
      const b = f32x4.mul(w1, f32x4.add(v128.load(p, 16), v128.load(p - 16)))
      const c = f32x4.mul(w2, f32x4.add(v128.load(p, 32), v128.load(p - 32)))
      v128.store(above + i, f32x4.add(f32x4.add(f32x4.add(v128.load(above + i), a), b), c))
      v128.store(below + i, f32x4.add(f32x4.add(f32x4.add(v128.load(below + i), a), b), c))
    }
    return
  }
  for (; i < bytes; i += 16) put(f32x4.mul(w0, v128.load(at + i)), above, below, i)
  edgesFrom(1, 1, at, bytes, 0, -1, edge, edges, above, below)
}

/** Further edges by themselves: from the `late`th for pixels that had more at once, which are the first `done` bytes. */
function edgesFrom(
  early: i32,
  late: i32,
  at: usize,
  bytes: usize,
  done: usize,
  full: i32,
  edge: usize,
  edges: i32,
  above: usize,
  below: usize,
): void {
  for (let e = early; e < edges; e++) {
    const w = f32x4.splat(f32.load(edge + (<usize>e << 2)))
    const reach = <usize>(full + 1 + e) << 4
    for (let i: usize = e < late ? done : 0; i < bytes; i += 16) {
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
function middle(to: usize, from: usize, offset: usize, byStep: v128): v128 {
  return f32x4.mul(byStep, runOf(to, from, offset))
}

@inline
function withEdge(sum: v128, w: v128, left: usize, right: usize, offset: usize): v128 {
  return f32x4.add(sum, f32x4.mul(w, f32x4.add(v128.load(right + offset), v128.load(left + offset))))
}

@inline
function twoEdges(sum: v128, w0: v128, r0: v128, l0: v128, w1: v128, r1: v128, l1: v128): v128 {
  return f32x4.add(f32x4.add(sum, f32x4.mul(w0, f32x4.add(r0, l0))), f32x4.mul(w1, f32x4.add(r1, l1)))
}

@inline
function putTwo(a: v128, b: v128, at: usize): void {
  v128.store(at, f32x4.add(v128.load(at), a))
  v128.store(at, f32x4.add(v128.load(at, 16), b), 16)
}

@inline
function putFour(a: v128, b: v128, c: v128, d: v128, at: usize): void {
  v128.store(at, f32x4.add(f32x4.add(v128.load(at), a), c))
  v128.store(at, f32x4.add(f32x4.add(v128.load(at, 16), b), d), 16)
}

@inline
function put(v: v128, above: usize, below: usize, i: usize): void {
  v128.store(above + i, f32x4.add(v128.load(above + i), v))
  if (below) v128.store(below + i, f32x4.add(v128.load(below + i), v))
}
