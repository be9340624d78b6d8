// AssemblyScript: the SIMD twin of `scalar.ts`.
import { threeTables } from '../curve/simd'

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
  const alphaLane = i32x4(0, 0, 0, -1)
  const zero = f32x4.splat(0)
  const one = f32x4.splat(1)
  const end = data + (<usize>pixels << 4)
  for (let at = data; at < end; at += 16) {
    const alpha = load<f32>(at, 12)
    if (!(alpha > 0)) continue
    const p = v128.load(at)
    const a = f32x4.splat(alpha)
    let result: v128
    if (luminance === 0) {
      result = f32x4.mul(threeTables(f32x4.div(p, a), red, green, blue), a)
    } else {
      const weighed = f32x4.mul(p, v128.load(luminance))
      const y = f32x4.extract_lane(weighed, 0) + f32x4.extract_lane(weighed, 1) + f32x4.extract_lane(weighed, 2)
      const light = threeTables(f32x4.splat(y / alpha), red, green, blue)
      const own =
        y > 1e-6
          ? f32x4.min(f32x4.max(f32x4.div(p, f32x4.splat(y)), zero), f32x4.splat(richest))
          : one
      result = f32x4.mul(f32x4.mul(light, own), a)
    }
    v128.store(at, v128.bitselect(p, result, alphaLane))
  }
}
