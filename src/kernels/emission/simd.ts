// AssemblyScript: the SIMD twin of `scalar.ts`.

/** One row, its first pixel's middle at `x`; `sums`: R, G, B and light times x, which are added to, and the row's light. */
export function lightRow(src: usize, pixels: i32, x: f64, sums: usize): void {
  let redGreen = v128.load(sums)
  let blue = load<f64>(sums, 16)
  let moment = load<f64>(sums, 24)
  let sum: f64 = 0
  const end = src + (<usize>pixels << 4)
  for (let at = src; at < end; at += 16, x += 1) {
    const first = f64x2.promote_low_f32x4(v128.load64_zero(at))
    const b = <f64>load<f32>(at, 8)
    redGreen = f64x2.add(redGreen, first)
    blue += b
    const light = f64x2.extract_lane(first, 0) + f64x2.extract_lane(first, 1) + b
    const shines: f64 = light > 0 ? light : 0
    sum += shines
    moment += shines * x
  }
  v128.store(sums, redGreen)
  store<f64>(sums, blue, 16)
  store<f64>(sums, moment, 24)
  store<f64>(sums, sum, 32)
}
