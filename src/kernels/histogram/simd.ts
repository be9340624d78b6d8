// AssemblyScript: the SIMD twin of `scalar.ts`.

const LOW_BITS: i32 = (127 - 12) << 23

/** Counts the four channels of `pixels` pixels: `counts` holds four words a bin. */
export function countPixels(src: usize, pixels: i32, counts: usize): void {
  const low = i32x4.splat(LOW_BITS)
  const zero = i32x4.splat(0)
  const last = i32x4.splat(1023)
  const none = i32x4.splat(1024)
  const channel = i32x4(0, 4, 8, 12)
  const end = src + (<usize>pixels << 4)
  for (; src < end; src += 16) {
    const v = v128.load(src)
    // What lies below 0 is held to 0 first: its bits less those of the lowest bin would wrap round.
    const bits = i32x4.max_s(v, zero)
    const bin = i32x4.min_s(i32x4.max_s(i32x4.shr_s(i32x4.sub(bits, low), 17), zero), last)
    const counted = v128.bitselect(bin, none, f32x4.eq(v, v))
    const at = i32x4.add(i32x4.shl(counted, 4), channel)
    one(counts + <usize>i32x4.extract_lane(at, 0))
    one(counts + <usize>i32x4.extract_lane(at, 1))
    one(counts + <usize>i32x4.extract_lane(at, 2))
    one(counts + <usize>i32x4.extract_lane(at, 3))
  }
}

@inline
function one(word: usize): void {
  store<u32>(word, load<u32>(word) + 1)
}
