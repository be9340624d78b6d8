// AssemblyScript: the filter where a map shrinks, as wide as that needs; a pixel at a time, four columns of the source together.

/**
 * Those pixels of a row where the map shrinks, over what the others' filter gave: `stretch` holds a pair for each cell of 2^`bits` pixels,
 * the first pixel of the first four in cell `cell` at its pixel `within`; no cell is beyond `last`. `coverage` 0: one shift for all.
 */
export function warpWideRow(
  shift: usize,
  apart: usize,
  x: i32,
  y: i32,
  stretch: usize,
  bits: i32,
  frameX: i32,
  last: i32,
  live: usize,
  planes: usize,
  pitch: usize,
  plane: usize,
  width: i32,
  height: i32,
  room: usize,
  skip: i32,
  pixels: i32,
  out: usize,
  coverage: usize,
): void {
  const alpha = planes + 3 * plane
  const across = room
  const down = room + 4 * WIDEST
  const channels: usize = coverage ? 3 : 1
  for (let i = skip; i < skip + pixels; i++, out += 16, coverage += coverage ? 16 : 0) {
    const pair = stretch + (<usize>min<i32>((frameX + i) >> bits, last) << 3)
    const sx = load<f32>(pair)
    const sy = load<f32>(pair, 4)
    if ((sx === 1 && sy === 1) || !load<u8>(live + (i >> 2))) continue
    for (let c: usize = 0; c < channels; c++) {
      const dx = load<f32>(shift + 2 * c * apart + (<usize>i << 2))
      const dy = load<f32>(shift + (2 * c + 1) * apart + (<usize>i << 2))
      const nx = wideWeights(dx, sx, across)
      const ny = wideWeights(dy, sy, down)
      const column = x + i + <i32>Mathf.floor(dx) - <i32>Mathf.floor(2 * sx)
      const row = y + <i32>Mathf.floor(dy) - <i32>Mathf.floor(2 * sy)
      if (coverage) {
        store<f32>(out + 4 * c, wideLight(planes + c * plane, nx, ny, across, down, column, row, pitch, width, height))
        const a = wideSum(alpha, nx, ny, across, down, column, row, pitch, width, height)
        store<f32>(coverage + 4 * c, min<f32>(max<f32>(a, 0), 1))
        if (c === 1) {
          store<f32>(out, load<f32>(coverage, 4), 12)
          store<f32>(coverage, load<f32>(coverage, 4), 12)
        }
        continue
      }
      for (let k: usize = 0; k < 3; k++) {
        const v = wideLight(planes + k * plane, nx, ny, across, down, column, row, pitch, width, height)
        store<f32>(out + 4 * k, v)
      }
      const a = wideSum(alpha, nx, ny, across, down, column, row, pitch, width, height)
      store<f32>(out, min<f32>(max<f32>(a, 0), 1), 12)
    }
  }
}

/** Weights of the widest filter, filled to a multiple of four. */
const WIDEST: usize = 260

/** Weights of the cubic `s` times as wide around a shift; how many there are. */
function wideWeights(d: f32, s: f32, out: usize): i32 {
  const t = d - Mathf.floor(d)
  const low = <i32>Mathf.floor(2 * s)
  const narrow: f32 = 1 / s
  const taps = 2 * low + 2
  let sum: f32 = 0
  for (let k = 0; k < taps; k++) {
    const x: f32 = Mathf.abs(<f32>(k - low) - t) * narrow
    const near: f32 = ((<f32>1.5 * x - 2.5) * x) * x + 1
    const far: f32 = ((<f32>-0.5 * x + 2.5) * x - 4) * x + 2
    const w: f32 = x < 1 ? near : x < 2 ? far : 0
    store<f32>(out + (<usize>k << 2), w)
    sum += w
  }
  const norm: f32 = 1 / sum
  for (let k = 0; k < taps; k++) {
    const at = out + (<usize>k << 2)
    store<f32>(at, load<f32>(at) * norm)
  }
  const filled = (taps + 3) & ~3
  for (let k = taps; k < filled; k++) store<f32>(out + (<usize>k << 2), 0)
  return filled
}

function wideLight(
  plane: usize,
  nx: i32,
  ny: i32,
  across: usize,
  down: usize,
  column: i32,
  row: i32,
  pitch: usize,
  width: i32,
  height: i32,
): f32 {
  const sum = wideSum(plane, nx, ny, across, down, column, row, pitch, width, height)
  if (!(sum < 0)) return sum
  let least = f32x4.splat(0)
  for (let i = 0; i < nx; i += 4) {
    const p = plane + (<usize>min<i32>(max<i32>(column + i, -8), width + 4) << 2)
    for (let j = 0; j < ny; j++) {
      least = f32x4.min(least, v128.load(p + <usize>min<i32>(max<i32>(row + j, -4), height) * pitch))
    }
  }
  const low = f32x4.min(least, v128.shuffle<i32>(least, least, 2, 3, 0, 1))
  return max<f32>(sum, min<f32>(f32x4.extract_lane(low, 0), f32x4.extract_lane(low, 1)))
}

/** Down first, then across in four sums. */
function wideSum(
  plane: usize,
  nx: i32,
  ny: i32,
  across: usize,
  down: usize,
  column: i32,
  row: i32,
  pitch: usize,
  width: i32,
  height: i32,
): f32 {
  let sums = f32x4.splat(0)
  for (let i = 0; i < nx; i += 4) {
    const p = plane + (<usize>min<i32>(max<i32>(column + i, -8), width + 4) << 2)
    let four = f32x4.splat(0)
    for (let j = 0; j < ny; j++) {
      const v = v128.load(p + <usize>min<i32>(max<i32>(row + j, -4), height) * pitch)
      four = f32x4.add(four, f32x4.mul(v128.load32_splat(down + (<usize>j << 2)), v))
    }
    sums = f32x4.add(sums, f32x4.mul(v128.load(across + (<usize>i << 2)), four))
  }
  const low = f32x4.extract_lane(sums, 0) + f32x4.extract_lane(sums, 1)
  return low + (f32x4.extract_lane(sums, 2) + f32x4.extract_lane(sums, 3))
}
