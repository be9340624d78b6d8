// AssemblyScript: the SIMD twin of `scalar.ts`.

/** `pairs` pairs of bytes at `src` to as many first and then second ones at `out`, each its difference from the one before. */
export function splitRow(src: usize, pairs: i32, out: usize): void {
  const middle = i8x16.splat(-128)
  const second = out + <usize>pairs
  let before = middle
  let beforeSecond = i8x16.splat(load<i8>(src + (<usize>pairs << 1) - 2))
  let i = 0
  for (; i + 16 <= pairs; i += 16, src += 32) {
    const a = v128.load(src)
    const b = v128.load(src, 16)
    const e = v128.shuffle<i8>(a, b, 0, 2, 4, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24, 26, 28, 30)
    const o = v128.shuffle<i8>(a, b, 1, 3, 5, 7, 9, 11, 13, 15, 17, 19, 21, 23, 25, 27, 29, 31)
    const pe = v128.shuffle<i8>(before, e, 15, 16, 17, 18, 19, 20, 21, 22, 23, 24, 25, 26, 27, 28, 29, 30)
    const po = v128.shuffle<i8>(beforeSecond, o, 15, 16, 17, 18, 19, 20, 21, 22, 23, 24, 25, 26, 27, 28, 29, 30)
    v128.store(out + <usize>i, i8x16.add(i8x16.sub(e, pe), middle))
    v128.store(second + <usize>i, i8x16.add(i8x16.sub(o, po), middle))
    before = e
    beforeSecond = o
  }
  let pe = i8x16.extract_lane_u(before, 15)
  let po = i8x16.extract_lane_u(beforeSecond, 15)
  for (; i < pairs; i++, src += 2) {
    const e = load<u8>(src)
    const o = load<u8>(src, 1)
    store<u8>(out + <usize>i, e - pe + 128)
    store<u8>(second + <usize>i, o - po + 128)
    pe = e
    po = o
  }
}
