// AssemblyScript: the SIMD twin of `scalar.ts`, whose equations and order of operations it shares to the bit.

/** Values outside the table, one at a time, by the function itself. */
@external('platefit', 'outside')
declare function outside(channel: i32, x: f32): f32

const CELL_BITS: i32 = 12
const LOW: i32 = (127 - 24) << 23
const HIGH: i32 = (127 + 16) << 23
const PART: f32 = 1.0 / 4096.0
const CELLS: i32 = (HIGH - LOW) >> CELL_BITS

/** `pixels` RGBA pixels at `data` through one table a channel, in place; `atZero`: what each makes of 0. */
export function curve(data: usize, pixels: i32, red: usize, green: usize, blue: usize, atZero: usize): void {
  const end = data + (<usize>pixels << 4)
  const low = i32x4.splat(LOW)
  const span = i32x4.splat(HIGH - LOW)
  const positive = i32x4.splat(0x7fffffff)
  const colour = i32x4(-1, -1, -1, 0)
  let at = data
  // Two pixels at a time, as long as the tables hold both.
  for (; at + 32 <= end; at += 32) {
    const a = v128.load(at)
    const b = v128.load(at, 16)
    const cellA = i32x4.sub(v128.and(a, positive), low)
    const cellB = i32x4.sub(v128.and(b, positive), low)
    // One comparison for both ends: what lies below wraps round to a large number.
    const out = v128.and(v128.or(i32x4.ge_u(cellA, span), i32x4.ge_u(cellB, span)), colour)
    if (v128.any_true(out)) {
      pixel(at, red, green, blue, atZero)
      pixel(at + 16, red, green, blue, atZero)
      continue
    }
    v128.store(at, v128.bitselect(inTables(a, cellA, red, green, blue), a, colour))
    v128.store(at, v128.bitselect(inTables(b, cellB, red, green, blue), b, colour), 16)
  }
  if (at < end) pixel(at, red, green, blue, atZero)
}

/** A colour in its cells of the tables. */
@inline
function inTables(word: v128, cell: v128, red: usize, green: usize, blue: usize): v128 {
  const sign = v128.and(i32x4.shr_s(word, 31), i32x4.splat((CELLS + 1) << 2))
  const index = i32x4.add(i32x4.shl(i32x4.shr_u(cell, CELL_BITS), 2), sign)
  let a = v128.load64_zero(red + <usize>i32x4.extract_lane(index, 0))
  a = v128.load64_lane(green + <usize>i32x4.extract_lane(index, 1), a, 1)
  const b = v128.load64_zero(blue + <usize>i32x4.extract_lane(index, 2))
  const from = v128.shuffle<i32>(a, b, 0, 2, 4, 6)
  const to = v128.shuffle<i32>(a, b, 1, 3, 5, 7)
  const part = v128.and(word, i32x4.splat((1 << CELL_BITS) - 1))
  const place = f32x4.mul(f32x4.convert_i32x4_s(part), f32x4.splat(PART))
  return f32x4.add(from, f32x4.mul(f32x4.sub(to, from), place))
}

function pixel(at: usize, red: usize, green: usize, blue: usize, atZero: usize): void {
  one(at, red, load<f32>(atZero), 0)
  one(at + 4, green, load<f32>(atZero, 4), 1)
  one(at + 8, blue, load<f32>(atZero, 8), 2)
}

function one(at: usize, values: usize, atZero: f32, channel: i32): void {
  const word = load<i32>(at)
  const magnitude = word & 0x7fffffff
  if (magnitude >= LOW && magnitude < HIGH) {
    const cell = ((magnitude - LOW) >> CELL_BITS) + (word < 0 ? CELLS + 1 : 0)
    const entry = values + (<usize>cell << 2)
    const from = load<f32>(entry)
    const place = <f32>(word & ((1 << CELL_BITS) - 1)) * PART
    store<f32>(at, from + (load<f32>(entry, 4) - from) * place)
  } else if (magnitude === 0) store<f32>(at, atZero)
  else if (magnitude < 0x7f800000) store<f32>(at, outside(channel, load<f32>(at)))
}

/** Entries of three tables at the colour in `word`, as `curve` reads one; magnitudes beyond the tables count as their ends. */
@inline
export function threeTables(word: v128, red: usize, green: usize, blue: usize): v128 {
  const cell = i32x4.sub(v128.and(word, i32x4.splat(0x7fffffff)), i32x4.splat(LOW))
  const held = i32x4.min_s(i32x4.max_s(cell, i32x4.splat(0)), i32x4.splat(HIGH - LOW - 1))
  // Parts of a cell: those of the end that is held to, where it is.
  return inTables(v128.or(v128.and(word, i32x4.splat(-2147483648)), held), held, red, green, blue)
}
