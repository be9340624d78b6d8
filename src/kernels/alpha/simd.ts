// AssemblyScript: the SIMD twin of `scalar.ts`.

export function holdAlpha(data: usize, pixels: i32, divide: i32): void {
  const end = data + (<usize>pixels << 4)
  for (let at = data; at < end; at += 16) {
    let p = v128.load(at)
    const a = heldAlpha(p)
    if (divide) p = v128.bitselect(f32x4.div(p, a), p, f32x4.gt(a, f32x4.splat(0)))
    v128.store(at, v128.shuffle<i32>(p, a, 0, 1, 2, 7))
  }
}

export function timesAlpha(data: usize, pixels: i32, always: i32): void {
  const all = i32x4.splat(always ? -1 : 0)
  const end = data + (<usize>pixels << 4)
  for (let at = data; at < end; at += 16) {
    const p = v128.load(at)
    const a = heldAlpha(p)
    const where = v128.or(f32x4.gt(a, f32x4.splat(0)), all)
    v128.store(at, v128.shuffle<i32>(v128.bitselect(f32x4.mul(p, a), p, where), a, 0, 1, 2, 7))
  }
}

/** Alpha in all lanes; what is no number covers nothing. */
@inline
function heldAlpha(p: v128): v128 {
  const a = v128.shuffle<i32>(p, p, 3, 3, 3, 3)
  return f32x4.pmin(f32x4.splat(1), f32x4.pmax(f32x4.splat(0), a))
}

export function setAlpha(data: usize, pixels: i32, alpha: f32): void {
  const end = data + (<usize>pixels << 4)
  for (let at = data; at < end; at += 16) store<f32>(at, alpha, 12)
}

export function alphaFromLight(data: usize, pixels: i32): void {
  const end = data + (<usize>pixels << 4)
  for (let at = data; at < end; at += 16) {
    const most = max<f32>(max<f32>(load<f32>(at), load<f32>(at, 4)), load<f32>(at, 8))
    store<f32>(at, min<f32>(max<f32>(most, 0), 1), 12)
  }
}

/** `coverage`: four values a pixel, or 0 where alpha stands for all. */
export function halveDepth(light: usize, coverage: usize, pixels: i32): void {
  const one = f32x4.splat(1)
  const lane = i32x4(0, 0, 0, -1)
  for (let i: usize = 0, n = <usize>pixels << 4; i < n; i += 16) {
    const p = v128.load(light + i)
    const c = coverage ? v128.load(coverage + i) : v128.shuffle<i32>(p, p, 3, 3, 3, 3)
    const left = f32x4.sqrt(f32x4.max(f32x4.sub(one, c), f32x4.splat(0)))
    const half = f32x4.sub(one, left)
    v128.store(light + i, v128.bitselect(half, f32x4.div(p, f32x4.add(one, left)), lane))
    if (coverage) v128.store(coverage + i, half)
  }
}
