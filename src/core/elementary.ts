/**
 * Powers, exponentials and logarithms whose bits are the same on every machine: `Math.pow` and its like may differ from
 * one engine to the next. Only + − × ÷ are used, which IEEE 754 fixes.
 *
 *   log₂ x = e + 2/ln 2 · (s + s³/3 + s⁵/5 + …)    x = 2^e·m, √½ < m ≤ √2    s = (m − 1)/(m + 1)
 *   2^p = 2ⁿ · (1 + t + t²/2! + …)                 n = p rounded, t = (p − n)·ln 2
 *
 * What lies between is carried as a sum of two doubles, so that a large exponent magnifies no rounding. Within 1 unit
 * in the last place where the result lies between 2⁻³² and 2³²; beyond, within 8.
 *
 * Source: [dekker1971] for the products; the series are common knowledge.
 */

const word = new DataView(new ArrayBuffer(8))
const SMALLEST_NORMAL = 2 ** -1022
/** Splits a double in two halves of 26 bits. */
const SPLIT = 2 ** 27 + 1
/** Constants as sums of two doubles. */
type Pair = readonly [number, number]
const TWO_OVER_LN2: Pair = [2.8853900817779268, 4.0710547481862066e-17]
const THIRD: Pair = [1 / 3, 1.850371707708594e-17]
const LN2: Pair = [Math.LN2, 2.3190468138462996e-17]
const LOG2_E: Pair = [Math.LOG2E, 2.0355273740931033e-17]
const LOG10_2: Pair = [0.3010299956639812, -2.8037281277851704e-18]

/** 1/25, 1/23, … 1/5 */
const ODD = Float64Array.from({ length: 11 }, (_, i) => 1 / (25 - 2 * i))
/** 1/15!, 1/14!, … 1/2! */
const FACTORIALS = Float64Array.from({ length: 14 }, (_, i) => {
  let product = 1
  for (let k = 2; k <= 15 - i; k++) product *= k
  return 1 / product
})

/** What the last product or logarithm came to: their sum. */
let high = 0
let low = 0

/** x^y by the rules of `Math.pow`, but that −0 counts as 0. */
export function pow(x: number, y: number): number {
  if (y === 0) return 1
  if (Number.isNaN(x) || Number.isNaN(y)) return Number.NaN
  if (Math.abs(y) === Number.POSITIVE_INFINITY) {
    const size = Math.abs(x)
    return size === 1 ? Number.NaN : size > 1 === y > 0 ? Number.POSITIVE_INFINITY : 0
  }
  if (x < 0) {
    if (y % 1 !== 0 && x !== Number.NEGATIVE_INFINITY) return Number.NaN
    return y % 2 === 0 || y % 1 !== 0 ? pow(-x, y) : -pow(-x, y)
  }
  if (x === 0 || x === Number.POSITIVE_INFINITY) return (x === 0) === y > 0 ? 0 : Number.POSITIVE_INFINITY
  if (x === 1 || y === 1) return x
  logarithm(x)
  const about = y * high
  if (Math.abs(about) > 1100) return about > 0 ? Number.POSITIVE_INFINITY : 0
  scale(y, 0)
  return powerOfTwo(high, low)
}

/** e^x */
export function exp(x: number): number {
  if (Number.isNaN(x)) return x
  if (Math.abs(x) > 750) return x > 0 ? Number.POSITIVE_INFINITY : 0
  high = x
  low = 0
  scale(LOG2_E[0], LOG2_E[1])
  return powerOfTwo(high, low)
}

export function log2(x: number): number {
  return logarithmIn(x, 1, 0)
}

/** Natural logarithm. */
export function ln(x: number): number {
  return logarithmIn(x, LN2[0], LN2[1])
}

export function log10(x: number): number {
  return logarithmIn(x, LOG10_2[0], LOG10_2[1])
}

function logarithmIn(x: number, unit: number, more: number): number {
  if (x === 0) return Number.NEGATIVE_INFINITY
  if (!(x > 0) || x === Number.POSITIVE_INFINITY) return x > 0 ? x : Number.NaN
  logarithm(x)
  scale(unit, more)
  return high + low
}

/** a·b = high + low, exactly. */
function product(a: number, b: number): void {
  const p = SPLIT * a
  const ah = p - (p - a)
  const al = a - ah
  const q = SPLIT * b
  const bh = q - (q - b)
  const bl = b - bh
  high = a * b
  low = al * bl - (high - ah * bh - al * bh - ah * bl)
}

/** (high + low) times (by + more). */
function scale(by: number, more: number): void {
  const h = high
  const l = low
  product(h, by)
  low += h * more + l * by
}

/** high + low = log₂ x; x above 0 and finite. */
function logarithm(x: number): void {
  const normal = x >= SMALLEST_NORMAL
  word.setFloat64(0, normal ? x : x * 2 ** 54)
  const top = word.getInt32(0)
  word.setInt32(0, (top & 0xfffff) | 0x3ff00000)
  let m = word.getFloat64(0)
  let e = (top >> 20) - (normal ? 1023 : 1077)
  if (m > Math.SQRT2) {
    m /= 2
    e++
  }
  const sum = m + 1
  const s = (m - 1) / sum
  product(s, sum)
  const rest = (m - 1 - high - low - s * (m - (sum - 1))) / sum
  product(s, s)
  const z = high
  scale(THIRD[0], THIRD[1])
  scale(s, 0)
  // s + s³/3, whose sizes lie two digits apart, then what is smaller.
  const cube = high
  const small = low + rest + s * (z * z) * odd(z)
  const h = s + cube
  const l = s - h + cube + small
  high = h + l
  low = h - high + l
  scale(TWO_OVER_LN2[0], TWO_OVER_LN2[1])
  const whole = e + high
  low += high - (whole - e)
  high = whole
}

/** 1/5 + z/7 + z²/9 + … for z up to 0.03 */
function odd(z: number): number {
  let sum = 0
  for (let i = 0; i < ODD.length; i++) sum = sum * z + (ODD[i] as number)
  return sum
}

/** 2^(p + q), |q| far below 1. */
function powerOfTwo(p: number, q: number): number {
  const n = Math.round(p)
  high = p - n
  low = q
  scale(LN2[0], LN2[1])
  const t = high
  const one = 1 + t
  let series = 0
  for (let i = 0; i < FACTORIALS.length; i++) series = series * t + (FACTORIALS[i] as number)
  const curved = series * t * t
  const value = one + (t - (one - 1) + (curved + low * (one + curved)))
  return n >= -1022 && n <= 1023 ? value * twoTo(n) : value * twoTo(n >> 1) * twoTo(n - (n >> 1))
}

/** 2ⁿ; n from −1022 to 1023. */
function twoTo(n: number): number {
  word.setInt32(0, (n + 1023) << 20)
  word.setInt32(4, 0)
  return word.getFloat64(0)
}
