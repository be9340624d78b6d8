// AssemblyScript: the SIMD twin of `scalar.ts`.

/** `m`: three columns of the matrix, four floats each (the fourth 0). */
export function matrix(data: usize, pixels: i32, m: usize): void {
  const red = v128.load(m)
  const green = v128.load(m, 16)
  const blue = v128.load(m, 32)
  const colour = i32x4(-1, -1, -1, 0)
  const end = data + (<usize>pixels << 4)
  for (let at = data; at < end; at += 16) {
    const p = v128.load(at)
    const r = v128.shuffle<i32>(p, p, 0, 0, 0, 0)
    const g = v128.shuffle<i32>(p, p, 1, 1, 1, 1)
    const b = v128.shuffle<i32>(p, p, 2, 2, 2, 2)
    const sum = f32x4.add(f32x4.add(f32x4.mul(red, r), f32x4.mul(green, g)), f32x4.mul(blue, b))
    v128.store(at, v128.bitselect(sum, p, colour))
  }
}

export function gain(data: usize, pixels: i32, r: f32, g: f32, b: f32): void {
  const by = f32x4(r, g, b, 1)
  const end = data + (<usize>pixels << 4)
  for (let at = data; at < end; at += 16) v128.store(at, f32x4.mul(v128.load(at), by))
}

export function scale(data: usize, pixels: i32, by: f32): void {
  const k = f32x4.splat(by)
  const end = data + (<usize>pixels << 4)
  for (let at = data; at < end; at += 16) v128.store(at, f32x4.mul(v128.load(at), k))
}

/** c′ = scale·c + offset·α; `scale` and `offset` four floats each, whose last do not matter. */
export function veil(data: usize, pixels: i32, scale: usize, offset: usize): void {
  const by = v128.load(scale)
  const to = v128.load(offset)
  const end = data + (<usize>pixels << 4)
  for (let at = data; at < end; at += 16) {
    const p = v128.load(at)
    const a = v128.shuffle<i32>(p, p, 3, 3, 3, 3)
    const veiled = f32x4.add(f32x4.mul(p, by), f32x4.mul(to, a))
    v128.store(at, v128.bitselect(veiled, p, i32x4(-1, -1, -1, 0)))
  }
}
