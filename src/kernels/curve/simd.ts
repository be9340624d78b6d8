// AssemblyScript: the SIMD twin of `scalar.ts`, whose equations and order of operations it shares to the bit.

/** Values outside the table, one at a time, by the function itself. */
@external('platefit', 'outside')
declare function outside(channel: i32, x: f32): f32

const CELL_BITS: i32 = 12
const LOW: i32 = (127 - 24) << 23
const HIGH: i32 = (127 + 16) << 23
const PART: f32 = 1.0 / 4096.0
const SIGN: i32 = -2147483648
/** The last step that the tables hold; alpha may be anything. */
const SPAN = i32x4(HIGH - LOW - 1, HIGH - LOW - 1, HIGH - LOW - 1, -1)

/**
 * `pixels` RGBA pixels at `data` through one table a channel, to `out`, which may be where they stand; `atZero`: what each
 * makes of 0.
 */
export function curve(
  data: usize,
  pixels: i32,
  red: usize,
  green: usize,
  blue: usize,
  atZero: usize,
  out: usize,
): void {
  const end = data + (<usize>pixels << 4)
  for (; data + 64 <= end; data += 64, out += 64) {
    if (!fourInside(data)) {
      odd(data, 64, red, green, blue, atZero, out)
      continue
    }
    curved(data, red, green, blue, out)
    curved(data + 16, red, green, blue, out + 16)
    curved(data + 32, red, green, blue, out + 32)
    curved(data + 48, red, green, blue, out + 48)
  }
  odd(data, end - data, red, green, blue, atZero, out)
}

@inline
function curved(data: usize, red: usize, green: usize, blue: usize, out: usize): void {
  const word = v128.load(data)
  v128.store(out, v128.shuffle<i32>(entries(data, word, red, green, blue), word, 0, 1, 2, 7))
}

/** Up to four pixels, of `bytes` together, that may hold 0 or what lies outside the tables. */
function odd(
  data: usize,
  bytes: usize,
  red: usize,
  green: usize,
  blue: usize,
  atZero: usize,
  out: usize,
): void {
  const inside = fourHeld(data, memory.data(64, 16))
  for (let k: usize = 0; k < bytes; k += 16) {
    const word = v128.load(data + k)
    const none = i32x4.eq(magnitudes(data + k), i32x4.splat(0))
    if (i32x4.all_true(v128.or(none, i32x4.le_u(cells(data + k), SPAN)))) {
      const some = entries(inside + k, v128.load(inside + k), red, green, blue)
      const result = v128.bitselect(v128.load(atZero), some, none)
      v128.store(out + k, v128.shuffle<i32>(result, word, 0, 1, 2, 7))
    } else {
      one(data + k, red, load<f32>(atZero), 0, out + k)
      one(data + k + 4, green, load<f32>(atZero, 4), 1, out + k + 4)
      one(data + k + 8, blue, load<f32>(atZero, 8), 2, out + k + 8)
      v128.store32_lane(out + k, word, 3, 12)
    }
  }
}

function one(at: usize, table: usize, atZero: f32, channel: i32, out: usize): void {
  const word = load<u32>(at)
  const magnitude = <i32>(word & 0x7fffffff)
  if (magnitude >= LOW && magnitude < HIGH) {
    const entry = entryOf(word, table)
    const from = load<f32>(entry)
    const place = <f32>(word & ((1 << CELL_BITS) - 1)) * PART
    store<f32>(out, from + (load<f32>(entry, 4) - from) * place)
  } else if (magnitude === 0) store<f32>(out, atZero)
  else if (magnitude < 0x7f800000) store<f32>(out, outside(channel, load<f32>(at)))
  else store<u32>(out, word)
}

/** Whether the tables hold the colours of the four pixels at `at`. */
@inline
export function fourInside(at: usize): bool {
  const two = i32x4.max_u(cells(at), cells(at + 16))
  return i32x4.all_true(i32x4.le_u(i32x4.max_u(two, i32x4.max_u(cells(at + 32), cells(at + 48))), SPAN))
}

/** Steps of single precision into the tables; what lies below wraps round to a large number, so one comparison tells both ends. */
@inline
function cells(at: usize): v128 {
  return i32x4.sub(magnitudes(at), i32x4.splat(LOW))
}

@inline
function magnitudes(at: usize): v128 {
  return v128.and(v128.load(at), i32x4.splat(~SIGN))
}

/**
 * What three tables say of the colour `word`, which they hold and which stands at `at`: cells are chosen by whole numbers from
 * there, a shorter way than out of a vector.
 */
@inline
export function entries(at: usize, word: v128, red: usize, green: usize, blue: usize): v128 {
  let rg = v128.load64_zero(entryOf(load<u32>(at), red))
  rg = v128.load64_lane(entryOf(load<u32>(at, 4), green), rg, 1)
  const b = v128.load64_zero(entryOf(load<u32>(at, 8), blue))
  const from = v128.shuffle<i32>(rg, b, 0, 2, 4, 4)
  const to = v128.shuffle<i32>(rg, b, 1, 3, 5, 5)
  const part = v128.and(word, i32x4.splat((1 << CELL_BITS) - 1))
  const place = f32x4.mul(f32x4.convert_i32x4_s(part), f32x4.splat(PART))
  return f32x4.add(from, f32x4.mul(f32x4.sub(to, from), place))
}

/** A table's address is that of the cell which its lowest bits would choose: see `apply.ts`. */
@inline
function entryOf(word: u32, table: usize): usize {
  return table + <usize>((word >>> CELL_BITS) << 2)
}

/** Four pixels as the tables hold them, magnitudes beyond at their ends, to `out`, which is given back. */
export function fourHeld(at: usize, out: usize): usize {
  v128.store(out, held(v128.load(at)))
  v128.store(out, held(v128.load(at, 16)), 16)
  v128.store(out, held(v128.load(at, 32)), 32)
  v128.store(out, held(v128.load(at, 48)), 48)
  return out
}

@inline
export function held(word: v128): v128 {
  const sign = i32x4.splat(SIGN)
  const magnitude = i32x4.max_s(v128.andnot(word, sign), i32x4.splat(LOW))
  return v128.or(i32x4.min_s(magnitude, i32x4.splat(HIGH - 1)), v128.and(word, sign))
}
