// AssemblyScript: the SIMD twin of `scalar.ts`.

const LARGEST: i32 = 0x7bff
const TOO_LARGE: i32 = 0x477ff000
const NORMAL: i32 = 0x38800000
const INFINITE: i32 = 0x7f800000

/** Floats to halves; both have room for fours. What is no number is counted into `faults`, what lies beyond behind it. */
export function toHalfRow(src: usize, count: i32, out: usize, faults: usize): void {
  for (let i = 0; i < count; i += 4, src += 16, out += 8) {
    const word = v128.load(src)
    const magnitude = v128.and(word, i32x4.splat(0x7fffffff))
    const sign = v128.and(i32x4.shr_u(word, 16), i32x4.splat(0x8000))
    const rebased = i32x4.sub(magnitude, i32x4.splat(0x38000000))
    const even = v128.and(i32x4.shr_u(rebased, 13), i32x4.splat(1))
    const normal = i32x4.shr_u(i32x4.add(i32x4.add(rebased, i32x4.splat(0xfff)), even), 13)
    // Steps of 2⁻²⁴: adding 2²³ of them makes the sum's own rounding do it.
    const steps = f32x4.add(f32x4.mul(magnitude, f32x4.splat(16777216)), f32x4.splat(8388608))
    const small = i32x4.sub(steps, i32x4.splat(0x4b000000))
    let half = v128.bitselect(small, normal, i32x4.lt_s(magnitude, i32x4.splat(NORMAL)))
    const large = i32x4.ge_s(magnitude, i32x4.splat(TOO_LARGE))
    half = v128.or(sign, v128.bitselect(i32x4.splat(LARGEST), half, large))
    if (v128.any_true(large)) {
      const none = i32x4.gt_s(magnitude, i32x4.splat(INFINITE))
      half = v128.andnot(half, none)
      // Lanes beyond the row's end do not count.
      const lanes = count - i >= 4 ? 15 : (1 << (count - i)) - 1
      const beyond = i32x4.bitmask(large) & lanes
      const notANumber = i32x4.bitmask(none) & lanes
      store<i32>(faults, load<i32>(faults) + popcnt(notANumber))
      store<i32>(faults, load<i32>(faults, 4) + popcnt(beyond & ~notANumber), 4)
    }
    v128.store64_lane(out, i16x8.narrow_i32x4_u(half, half), 0)
  }
}

/** Halves to floats, exactly; both have room for fours. */
export function fromHalfRow(src: usize, count: i32, out: usize): void {
  for (let i = 0; i < count; i += 4, src += 8, out += 16) {
    const half = v128.load_ext<u16>(src)
    const magnitude = v128.and(half, i32x4.splat(0x7fff))
    const sign = i32x4.shl(v128.and(half, i32x4.splat(0x8000)), 16)
    // 2¹¹²: from the bias of a half to that of a float, subnormals too.
    const value = f32x4.mul(i32x4.shl(magnitude, 13), f32x4.splat(5192296858534827628530496329220096.0))
    const infinite = i32x4.eq(magnitude, i32x4.splat(0x7c00))
    const none = i32x4.gt_s(magnitude, i32x4.splat(0x7c00))
    let word = v128.or(v128.bitselect(i32x4.splat(INFINITE), value, infinite), sign)
    word = v128.bitselect(i32x4.splat(0x7fc00000), word, none)
    v128.store(out, word)
  }
}
