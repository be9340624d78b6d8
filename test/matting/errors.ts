/**
 * How far a matte is from the true one, over a band: the four errors of the matting benchmark.
 *
 *   sad            Σ|α − α*| / 1000
 *   mse            mean of (α − α*)²
 *   gradient       Σ(|∇α| − |∇α*|)² / 1000          ∇ by derivatives of a gaussian, σ 1.4
 *   connectivity   Σ|φ(α) − φ(α*)| / 1000           φ = 1 − d where d ≥ 0.15, else 1;  d = α − l
 *
 *   l  the greatest of 0, 0.1 … 1 at which a pixel still hangs, by its four neighbours, on the largest region where both
 *      mattes are at least that much
 *
 * Source: [rhemann2009]; the constants from memory of its published evaluation.
 */
const SIGMA = 1.4
const THETA = 0.15
const STEPS = 10

export interface Matte {
  readonly width: number
  readonly height: number
  readonly alpha: Float32Array
}

export interface MatteErrors {
  readonly sad: number
  readonly mse: number
  readonly gradient: number
  readonly connectivity: number
}

/** Pixels within `reach` px, along both sides, of one that is partly covered. */
export function bandOf({ width, height, alpha }: Matte, reach: number): Uint8Array {
  const near = (from: Uint8Array, dx: number, dy: number) =>
    from.map((_, p) => {
      const [x, y] = [p % width, Math.floor(p / width)]
      for (let k = -reach; k <= reach; k++) {
        const [u, v] = [x + k * dx, y + k * dy]
        if (u >= 0 && v >= 0 && u < width && v < height && from[v * width + u] === 1) return 1
      }
      return 0
    })
  const partly = Uint8Array.from(alpha, (a) => (a > 0 && a < 1 ? 1 : 0))
  return near(near(partly, 1, 0), 0, 1)
}

/** @param one what stands for whole in `alpha` */
export function sadOf(alpha: ArrayLike<number>, truth: Float32Array, band: Uint8Array, one = 1): number {
  let sum = 0
  for (let p = 0; p < band.length; p++) if (band[p] === 1) sum += Math.abs(alpha[p] / one - truth[p])
  return sum / 1000
}

/** What every pixel adds to the sums, whatever band is looked at. */
export interface ErrorMaps {
  readonly off: Float32Array
  readonly gradient: Float32Array
  readonly connectivity: Float32Array
}

export function errorMaps(matte: Matte, truth: Float32Array): ErrorMaps {
  const [slope, trueSlope] = [slopeOf(matte), slopeOf({ ...matte, alpha: truth })]
  const levels = levelsOf(matte, truth)
  const whole = (a: number, l: number) => (a - l >= THETA ? 1 - (a - l) : 1)
  return {
    off: matte.alpha.map((a, p) => Math.abs(a - truth[p])),
    gradient: slope.map((v, p) => (v - trueSlope[p]) ** 2),
    connectivity: matte.alpha.map((a, p) => Math.abs(whole(a, levels[p]) - whole(truth[p], levels[p]))),
  }
}

export function errorsOf({ off, gradient, connectivity }: ErrorMaps, band: Uint8Array): MatteErrors {
  const sum = (of: (p: number) => number) => band.reduce((s, v, p) => (v === 1 ? s + of(p) : s), 0)
  return {
    sad: sum((p) => off[p]) / 1000,
    mse:
      sum((p) => off[p] ** 2) /
      Math.max(
        sum(() => 1),
        1,
      ),
    gradient: sum((p) => gradient[p]) / 1000,
    connectivity: sum((p) => connectivity[p]) / 1000,
  }
}

/** |∇| by a gaussian's derivatives, borders repeated. */
function slopeOf({ width, height, alpha }: Matte): Float32Array {
  const reach = Math.ceil(4 * SIGMA)
  const g = Array.from({ length: 2 * reach + 1 }, (_, k) => Math.exp(-((k - reach) ** 2) / (2 * SIGMA ** 2)))
  const sum = g.reduce((a, b) => a + b)
  const bell = g.map((v) => v / sum)
  const moment = bell.reduce((m, v, k) => m + v * (k - reach) ** 2, 0)
  const odd = bell.map((v, k) => (v * (k - reach)) / moment)
  const along = (from: Float32Array, taps: number[], dx: number, dy: number) =>
    from.map((_, p) => {
      const [x, y] = [p % width, Math.floor(p / width)]
      let v = 0
      for (let k = -reach; k <= reach; k++) {
        const u = Math.min(Math.max(x + k * dx, 0), width - 1)
        const w = Math.min(Math.max(y + k * dy, 0), height - 1)
        v += taps[k + reach] * from[w * width + u]
      }
      return v
    })
  const across = along(along(alpha, bell, 0, 1), odd, 1, 0)
  const down = along(along(alpha, bell, 1, 0), odd, 0, 1)
  return across.map((v, p) => Math.sqrt(v * v + down[p] * down[p]))
}

function levelsOf({ width, height, alpha }: Matte, truth: Float32Array): Float32Array {
  const level = new Float32Array(alpha.length).fill(1)
  const found = new Uint8Array(alpha.length)
  for (let k = 1; k <= STEPS; k++) {
    const both = Uint8Array.from(alpha, (a, p) =>
      a >= k / STEPS - 1e-6 && truth[p] >= k / STEPS - 1e-6 ? 1 : 0,
    )
    const largest = largestOf(both, width, height)
    for (let p = 0; p < level.length; p++) {
      if (found[p] === 1 || largest[p] === 1) continue
      level[p] = (k - 1) / STEPS
      found[p] = 1
    }
  }
  return level
}

/** The largest region of ones that hang together by their four neighbours. */
function largestOf(mask: Uint8Array, width: number, height: number): Uint8Array {
  const mark = new Int32Array(mask.length)
  const queue = new Int32Array(mask.length)
  let [marks, best, most] = [0, 0, 0]
  for (let from = 0; from < mask.length; from++) {
    if (mask[from] === 0 || mark[from] !== 0) continue
    mark[from] = ++marks
    queue[0] = from
    let end = 1
    for (let k = 0; k < end; k++) {
      const p = queue[k]
      const x = p % width
      const visit = (q: number) => {
        if (mask[q] === 0 || mark[q] !== 0) return
        mark[q] = marks
        queue[end++] = q
      }
      if (x > 0) visit(p - 1)
      if (x < width - 1) visit(p + 1)
      if (p >= width) visit(p - width)
      if (p < (height - 1) * width) visit(p + width)
    }
    if (end > most) [best, most] = [marks, end]
  }
  return Uint8Array.from(mark, (m) => (best > 0 && m === best ? 1 : 0))
}
