/** The gaussian in plain TypeScript, in single precision: what `simd.ts` must equal to the bit. */
import { emptyImage, type FloatImage, intersect, isEmpty, type Region } from '../../core/index.js'
import { gaussianGrids, gaussianPlan, splineWeights } from './plan.js'

const { fround } = Math

/** See `apply.ts`; `sigma` above 0. */
export function gaussianBlur(src: FloatImage, sigma: number, region: Region): FloatImage {
  const plan = gaussianPlan(sigma)
  const { known, filtered } = gaussianGrids(plan, src.region, region)
  if (isEmpty(region) || known.some(isEmpty)) return emptyImage(region)
  let small = padded(src, known[0])
  for (const to of known.slice(1)) small = halved(small, to)
  const blurred = filter(small, plan.taps, filtered)
  return plan.levels === 0 ? blurred : enlarged(blurred, plan.levels, region)
}

/** The picture over `region`, 0 where it has nothing and where it is not finite. */
function padded(src: FloatImage, region: Region): FloatImage {
  const out = emptyImage(region)
  const r = intersect(src.region, region)
  for (let y = r.y; y < r.y + r.height; y++) {
    const from = 4 * ((y - src.region.y) * src.region.width + r.x - src.region.x)
    const to = 4 * ((y - region.y) * region.width + r.x - region.x)
    for (let i = 0; i < 4 * r.width; i++) {
      const v = src.data[from + i]
      out.data[to + i] = v - v === 0 ? v : 0
    }
  }
  return out
}

function halved(src: FloatImage, to: Region): FloatImage {
  const { x, y, width, height } = to
  const wide = padded(src, { x: 2 * x - 2, y: 2 * y - 2, width: 2 * width + 3, height: 2 * height + 3 })
  const across = emptyImage({ ...wide.region, width })
  for (let row = 0; row < wide.region.height; row++) {
    const from = 4 * row * wide.region.width
    for (let i = 0; i < 4 * width; i++) {
      across.data[4 * row * width + i] = half(wide.data, from + 8 * (i >> 2) + (i & 3), 4)
    }
  }
  const out = emptyImage(to)
  for (let row = 0; row < height; row++) {
    for (let i = 0; i < 4 * width; i++) {
      out.data[4 * row * width + i] = half(across.data, 8 * row * width + i, 4 * width)
    }
  }
  return out
}

function half(d: Float32Array, i: number, step: number): number {
  const far = fround(fround(d[i] + d[i + 4 * step]) * 0.0625)
  const near = fround(fround(d[i + step] + d[i + 3 * step]) * 0.25)
  return fround(fround(far + near) + fround(d[i + 2 * step] * 0.375))
}

function filter(src: FloatImage, taps: Float32Array, to: Region): FloatImage {
  const reach = taps.length - 1
  const { width, height } = to
  const wide = padded(src, {
    x: to.x - reach,
    y: to.y - reach,
    width: width + 2 * reach,
    height: height + 2 * reach,
  })
  const across = emptyImage({ ...wide.region, width })
  for (let row = 0; row < wide.region.height; row++) {
    const middle = 4 * (row * wide.region.width + reach)
    for (let i = 0; i < 4 * width; i++) {
      across.data[4 * row * width + i] = tapped(wide.data, middle + i, 4, taps)
    }
  }
  const out = emptyImage(to)
  for (let row = 0; row < height; row++) {
    const middle = 4 * (row + reach) * width
    for (let i = 0; i < 4 * width; i++) {
      out.data[4 * row * width + i] = tapped(across.data, middle + i, 4 * width, taps)
    }
  }
  return out
}

function tapped(d: Float32Array, middle: number, step: number, taps: Float32Array): number {
  let sum = fround(taps[0] * d[middle])
  for (let k = 1; k < taps.length; k++) {
    sum = fround(sum + fround(taps[k] * fround(d[middle - k * step] + d[middle + k * step])))
  }
  return sum
}

function enlarged(src: FloatImage, levels: number, to: Region): FloatImage {
  const weights = splineWeights(levels)
  const { width, height } = to
  const mask = 2 ** levels - 1
  const across = emptyImage({ ...src.region, width })
  for (let row = 0; row < src.region.height; row++) {
    for (let i = 0; i < width; i++) {
      const x = to.x + i
      const from = 4 * (row * src.region.width + (x >> levels) - 1 - src.region.x)
      for (let c = 0; c < 4; c++) {
        across.data[4 * (row * width + i) + c] = spline(src.data, from + c, 4, weights, 4 * (x & mask))
      }
    }
  }
  const out = emptyImage(to)
  for (let row = 0; row < height; row++) {
    const y = to.y + row
    const from = 4 * ((y >> levels) - 1 - src.region.y) * width
    for (let i = 0; i < 4 * width; i++) {
      out.data[4 * row * width + i] = spline(across.data, from + i, 4 * width, weights, 4 * (y & mask))
    }
  }
  return out
}

function spline(d: Float32Array, i: number, step: number, weights: Float32Array, w: number): number {
  const first = fround(fround(weights[w] * d[i]) + fround(weights[w + 1] * d[i + step]))
  const third = fround(first + fround(weights[w + 2] * d[i + 2 * step]))
  return fround(third + fround(weights[w + 3] * d[i + 3 * step]))
}
