// AssemblyScript: memory at once.

/** `count` numbers from `start` on; up to 64 bytes are written at a time, so the block needs room for that. */
export function fill(start: usize, count: i32, value: f32): void {
  const four = f32x4.splat(value)
  for (const end = start + (<usize>count << 2); start < end; start += 64) {
    v128.store(start, four)
    v128.store(start, four, 16)
    v128.store(start, four, 32)
    v128.store(start, four, 48)
  }
}

export function zero(start: usize, bytes: usize): void {
  memory.fill(start, 0, bytes)
}

export function copy(out: usize, src: usize, bytes: usize): void {
  memory.copy(out, src, bytes)
}
