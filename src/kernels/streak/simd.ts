// AssemblyScript: the SIMD twin of `scalar.ts`, a pixel at a time, its four channels side by side.

/**
 * One row. `above`, `below`: rows of nodes, planes `plane` bytes apart; `down`: how far between them. `taps`: steps of the row's
 * cells, of which there are `across`; `column`: of the map's frame, of the first pixel; `x`, `y`: that pixel in the source.
 */
export function streakRow(
  above: usize,
  below: usize,
  down: f32,
  plane: usize,
  columns: i32,
  taps: usize,
  across: i32,
  step: i32,
  column: i32,
  src: usize,
  width: i32,
  height: i32,
  x: i32,
  y: i32,
  pixels: i32,
  out: usize,
): void {
  for (let i = 0; i < pixels; i++, out += 16) {
    const node = (column + i) / step
    const right = min(node + 1, columns - 1)
    const t = <f32>((column + i) % step) / <f32>step
    const n = load<i32>(taps + (<usize>min(node, across - 1) << 2))
    const a = <usize>node << 2
    const b = <usize>right << 2
    const ax = end(above, below, a, b, down, t)
    const ay = end(above + plane, below + plane, a, b, down, t)
    const bx = end(above + 2 * plane, below + 2 * plane, a, b, down, t)
    const by = end(above + 3 * plane, below + 3 * plane, a, b, down, t)
    v128.store(out, along(src, width, height, x + i, y, bx - ax, by - ay, (ax + bx) * 2, (ay + by) * 2, n))
  }
}

@inline
function end(above: usize, below: usize, a: usize, b: usize, down: f32, t: f32): f32 {
  const left = mix(load<f32>(above + a), load<f32>(below + a), down)
  return mix(left, mix(load<f32>(above + b), load<f32>(below + b), down), t)
}

@inline
function mix(a: f32, b: f32, t: f32): f32 {
  return a + (b - a) * t
}

/** The mean of one pixel's way. */
function along(
  src: usize,
  width: i32,
  height: i32,
  x: i32,
  y: i32,
  vx: f32,
  vy: f32,
  cx: f32,
  cy: f32,
  n: i32,
): v128 {
  const share: f32 = 1 / <f32>n
  const one = f32x4(Infinity, Infinity, Infinity, 1)
  let sum = f32x4.splat(0)
  for (let k = 0; k < n; k++) {
    const t = (<f32>k + 0.5) * share - 0.5
    const dx = (vx + cx * t) * t
    const dy = (vy + cy * t) * t
    const fx = floor(dx)
    const fy = floor(dy)
    const u = x + <i32>fx - 1
    const v = y + <i32>fy - 1
    if (u > width || v > height || u < -4 || v < -4) continue
    sum = f32x4.add(sum, f32x4.min(look(src, width, height, u, v, dx - fx, dy - fy), one))
  }
  return f32x4.mul(sum, f32x4.splat(share))
}

/** Sixteen pixels from (u, v) on, weighed by how far behind the second of each the place lies. */
@inline
function look(src: usize, width: i32, height: i32, u: i32, v: i32, tx: f32, ty: f32): v128 {
  const sx: f32 = 1 - tx
  const hx: f32 = -0.5 * tx * sx
  const x0 = hx * sx
  const x3 = hx * tx
  const x1 = sx - (x0 + x0) + x3
  const x2 = tx - (x3 + x3) + x0
  const sy: f32 = 1 - ty
  const hy: f32 = -0.5 * ty * sy
  const y0 = hy * sy
  const y3 = hy * ty
  const y1 = sy - (y0 + y0) + y3
  const y2 = ty - (y3 + y3) + y0
  const inside = u >= 0 && v >= 0 && u + 3 < width && v + 3 < height
  const line = <usize>width << 4
  const p = src + ((<isize>v * <isize>width + <isize>u) << 4)
  let s: v128
  if (inside) {
    s = f32x4.mul(f32x4.splat(y0), four(p, x0, x1, x2, x3))
    s = f32x4.add(s, f32x4.mul(f32x4.splat(y1), four(p + line, x0, x1, x2, x3)))
    s = f32x4.add(s, f32x4.mul(f32x4.splat(y2), four(p + 2 * line, x0, x1, x2, x3)))
    s = f32x4.add(s, f32x4.mul(f32x4.splat(y3), four(p + 3 * line, x0, x1, x2, x3)))
  } else {
    s = f32x4.mul(f32x4.splat(y0), fourAt(src, width, height, u, v, x0, x1, x2, x3))
    s = f32x4.add(s, f32x4.mul(f32x4.splat(y1), fourAt(src, width, height, u, v + 1, x0, x1, x2, x3)))
    s = f32x4.add(s, f32x4.mul(f32x4.splat(y2), fourAt(src, width, height, u, v + 2, x0, x1, x2, x3)))
    s = f32x4.add(s, f32x4.mul(f32x4.splat(y3), fourAt(src, width, height, u, v + 3, x0, x1, x2, x3)))
  }
  const below = f32x4.lt(s, f32x4.splat(0))
  if (!v128.any_true(below)) return s
  return v128.bitselect(f32x4.max(s, lowest(src, width, height, u, v)), s, below)
}

@inline
function four(p: usize, x0: f32, x1: f32, x2: f32, x3: f32): v128 {
  let r = f32x4.mul(f32x4.splat(x0), v128.load(p))
  r = f32x4.add(r, f32x4.mul(f32x4.splat(x1), v128.load(p, 16)))
  r = f32x4.add(r, f32x4.mul(f32x4.splat(x2), v128.load(p, 32)))
  return f32x4.add(r, f32x4.mul(f32x4.splat(x3), v128.load(p, 48)))
}

/** The same where some lie outside. */
function fourAt(src: usize, width: i32, height: i32, u: i32, v: i32, x0: f32, x1: f32, x2: f32, x3: f32): v128 {
  let r = f32x4.mul(f32x4.splat(x0), pixel(src, width, height, u, v))
  r = f32x4.add(r, f32x4.mul(f32x4.splat(x1), pixel(src, width, height, u + 1, v)))
  r = f32x4.add(r, f32x4.mul(f32x4.splat(x2), pixel(src, width, height, u + 2, v)))
  return f32x4.add(r, f32x4.mul(f32x4.splat(x3), pixel(src, width, height, u + 3, v)))
}

@inline
function pixel(src: usize, width: i32, height: i32, u: i32, v: i32): v128 {
  if (u < 0 || v < 0 || u >= width || v >= height) return f32x4.splat(0)
  return v128.load(src + ((<usize>v * <usize>width + <usize>u) << 4))
}

/** Lowest of 0 and the sixteen. */
function lowest(src: usize, width: i32, height: i32, u: i32, v: i32): v128 {
  let low = f32x4.splat(0)
  for (let j = 0; j < 4; j++)
    for (let i = 0; i < 4; i++) low = f32x4.min(low, pixel(src, width, height, u + i, v + j))
  return low
}
