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
  const end = data + (<usize>pixels << 4)
  if (luminance) {
    for (; data < end; data += 16) {
      if (load<f32>(data, 12) > 0) byLuminance(data, red, green, blue, luminance, richest)
    }
    return
  }
  const straight = memory.data(64, 16)
  for (; data + 64 <= end; data += 64) {
    const a = parted(data, straight)
    const b = parted(data + 16, straight + 16)
    const c = parted(data + 32, straight + 32)
    const d = parted(data + 48, straight + 48)
    if (!v128.any_true(v128.or(v128.or(a, b), v128.or(c, d)))) continue
    byChannel(data, a, straight, red, green, blue)
    byChannel(data + 16, b, straight + 16, red, green, blue)
    byChannel(data + 32, c, straight + 32, red, green, blue)
    byChannel(data + 48, d, straight + 48, red, green, blue)
  }
  for (; data < end; data += 16) byChannel(data, parted(data, straight), straight, red, green, blue)
}

/** Straight colour, as the tables hold it, to `out`; gives where there is any. */
@inline
function parted(data: usize, out: usize): v128 {
  const p = v128.load(data)
  const alpha = v128.shuffle<i32>(p, p, 3, 3, 3, 3)
  v128.store(out, held(f32x4.div(p, alpha)))
  return f32x4.gt(alpha, f32x4.splat(0))
}

@inline
function byChannel(data: usize, where: v128, straight: usize, red: usize, green: usize, blue: usize): void {
  const p = v128.load(data)
  const result = f32x4.mul(entries(straight, red, green, blue), v128.shuffle<i32>(p, p, 3, 3, 3, 3))
  v128.store(data, v128.bitselect(result, p, v128.and(where, i32x4(-1, -1, -1, 0))))
}

@inline
function byLuminance(
  data: usize,
  red: usize,
  green: usize,
  blue: usize,
  luminance: usize,
  richest: f32,
): void {
  const straight = memory.data(16, 16)
  const p = v128.load(data)
  const alpha = f32x4.extract_lane(p, 3)
  const weighed = f32x4.mul(p, v128.load(luminance))
  const y = f32x4.extract_lane(weighed, 0) + f32x4.extract_lane(weighed, 1) + f32x4.extract_lane(weighed, 2)
  const ratio = f32x4.max(f32x4.div(p, f32x4.splat(y)), f32x4.splat(0))
  const own = y > 1e-6 ? f32x4.min(ratio, f32x4.splat(richest)) : f32x4.splat(1)
  v128.store(straight, held(f32x4.splat(y / alpha)))
  const light = f32x4.mul(entries(straight, red, green, blue), own)
  v128.store(data, v128.shuffle<i32>(f32x4.mul(light, f32x4.splat(alpha)), p, 0, 1, 2, 7))
}
