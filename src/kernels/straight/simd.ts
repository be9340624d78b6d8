// AssemblyScript: the SIMD twin of `scalar.ts`.
import { entries, held } from '../curve/simd'

/** Straight colour through one table a channel. `luminance`: its four weights (the last 0), or 0 to curve each channel. */
export function straightRow(
  data: usize,
  pixels: i32,
  red: usize,
  green: usize,
  blue: usize,
  luminance: usize,
  richest: f32,
): void {
  if (luminance) row(data, pixels, red, green, blue, true, v128.load(luminance), f32x4.splat(richest))
  else row(data, pixels, red, green, blue, false, f32x4.splat(0), f32x4.splat(0))
}

@inline
function row(
  data: usize,
  pixels: i32,
  red: usize,
  green: usize,
  blue: usize,
  byLight: bool,
  weights: v128,
  richest: v128,
): void {
  const end = data + (<usize>pixels << 4)
  const straight = memory.data(64, 16)
  for (; data + 64 <= end; data += 64) {
    const a = parted(data, byLight, weights, straight)
    const b = parted(data + 16, byLight, weights, straight + 16)
    const c = parted(data + 32, byLight, weights, straight + 32)
    const d = parted(data + 48, byLight, weights, straight + 48)
    if (!v128.any_true(v128.or(v128.or(a, b), v128.or(c, d)))) continue
    bring(data, a, straight, red, green, blue, byLight, weights, richest)
    bring(data + 16, b, straight + 16, red, green, blue, byLight, weights, richest)
    bring(data + 32, c, straight + 32, red, green, blue, byLight, weights, richest)
    bring(data + 48, d, straight + 48, red, green, blue, byLight, weights, richest)
  }
  for (; data < end; data += 16) {
    const a = parted(data, byLight, weights, straight)
    bring(data, a, straight, red, green, blue, byLight, weights, richest)
  }
}

/** Straight colour or light, as the tables hold it, to `out`; gives where there is any. */
@inline
function parted(data: usize, byLight: bool, weights: v128, out: usize): v128 {
  const p = v128.load(data)
  const alpha = v128.shuffle<i32>(p, p, 3, 3, 3, 3)
  v128.store(out, held(f32x4.div(byLight ? luminanceOf(p, weights) : p, alpha)))
  return f32x4.gt(alpha, f32x4.splat(0))
}

/** In all lanes. */
@inline
function luminanceOf(p: v128, weights: v128): v128 {
  const w = f32x4.mul(p, weights)
  const two = f32x4.add(v128.shuffle<i32>(w, w, 0, 0, 0, 0), v128.shuffle<i32>(w, w, 1, 1, 1, 1))
  return f32x4.add(two, v128.shuffle<i32>(w, w, 2, 2, 2, 2))
}

@inline
function bring(
  data: usize,
  where: v128,
  straight: usize,
  red: usize,
  green: usize,
  blue: usize,
  byLight: bool,
  weights: v128,
  richest: v128,
): void {
  const p = v128.load(data)
  let light = entries(straight, v128.load(straight), red, green, blue)
  if (byLight) {
    const y = luminanceOf(p, weights)
    const own = f32x4.pmin(richest, f32x4.pmax(f32x4.splat(0), f32x4.div(p, y)))
    light = f32x4.mul(light, v128.bitselect(own, f32x4.splat(1), f32x4.gt(y, f32x4.splat(1e-6))))
  }
  const result = f32x4.mul(light, v128.shuffle<i32>(p, p, 3, 3, 3, 3))
  v128.store(data, v128.bitselect(result, p, v128.and(where, i32x4(-1, -1, -1, 0))))
}
