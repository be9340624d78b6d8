// AssemblyScript: the SIMD twin of `scalar.ts`.

/**
 * Samples out of interleaved ones: sixteen bytes of `out` at a time from `step` times sixteen of `src`. Table k of `tables` says for
 * every byte of `out` which of the k-th sixteen it is; numbers from 16 on mean none. Words are then moved `shift` bits down.
 * Both have room for what goes beyond `bytes`.
 */
export function pickRow(src: usize, bytes: i32, step: i32, tables: usize, shift: i32, out: usize): void {
  for (let i = 0; i < bytes; i += 16, out += 16) {
    let v = i8x16.swizzle(v128.load(src), v128.load(tables))
    for (let k: usize = 16, end = <usize>step << 4; k < end; k += 16) {
      v = v128.or(v, i8x16.swizzle(v128.load(src + k), v128.load(tables + k)))
    }
    src += <usize>step << 4
    v128.store(out, shift === 0 ? v : i16x8.shr_u(v, shift))
  }
}
