// AssemblyScript: the SIMD twin of `scalar.ts`.

/** A row without its floor: four floats, the last 0. */
export function floorLoad(src: usize, floor: usize, pixels: i32, out: usize): void {
  const off = v128.load(floor)
  for (let i: usize = 0, n = <usize>pixels << 4; i < n; i += 16) {
    v128.store(out + i, f32x4.sub(v128.load(src + i), off))
  }
}

/** One row through the gate; alpha stays. `scale`: see `gateScale`. */
export function floorRow(above: usize, here: usize, below: usize, scale: usize, pixels: i32, out: usize): void {
  const lane = i32x4(0, 0, 0, -1)
  const zero = f32x4.splat(0)
  const by = v128.load(scale)
  let left = zero
  let middle = sumOf(above, here, below, 0)
  for (let x = 0; x < pixels; x++) {
    const i = <usize>x << 4
    const last = x == pixels - 1
    const right = last ? zero : sumOf(above, here, below, i + 16)
    const sum = f32x4.add(f32x4.add(left, middle), right)
    const columns = 3 - i32(x == 0) - i32(last)
    const share: f32 = columns == 3 ? 1.0 / 3.0 : columns == 2 ? 0.5 : 1
    const level = f32x4.mul(f32x4.mul(sum, by), f32x4.splat(share))
    // A mean that is no number opens no gate.
    const held = f32x4.pmax(zero, level)
    let m = f32x4.extract_lane(held, 0)
    m = max<f32>(m, f32x4.extract_lane(held, 1))
    m = max<f32>(m, f32x4.extract_lane(held, 2))
    const t = min<f32>(max<f32>((m - 1.5) / <f32>1.5, 0), 1)
    const w: f32 = t * t * (3 - 2 * t)
    const p = v128.load(here + i)
    const gated = w == 0 ? zero : f32x4.mul(p, f32x4.splat(w))
    v128.store(out + i, v128.bitselect(p, gated, lane))
    left = middle
    middle = right
  }
}

@inline
function sumOf(above: usize, here: usize, below: usize, i: usize): v128 {
  return f32x4.add(f32x4.add(v128.load(above + i), v128.load(here + i)), v128.load(below + i))
}
