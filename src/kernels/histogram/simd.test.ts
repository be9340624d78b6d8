import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { emptyImage, quantile, sorted, uniform } from '../../core/index.js'
import { countInto, newHistogram, percentile } from './apply.js'
import { countInto as plain } from './scalar.js'

const fast = watchKernels('countPixels')

describe('a histogram', () => {
  it('by SIMD and in plain TypeScript is the same, from any float', () => {
    fc.assert(
      fc.property(fc.array(fc.float(), { minLength: 1, maxLength: 60 }), (values) => {
        const image = emptyImage({ x: 0, y: 0, width: values.length, height: 1 })
        image.data.set(values.flatMap((v, i) => [v, -v, v / 3, i / 7]))
        const [ours, twin] = [newHistogram(), newHistogram()]
        countInto(ours, image)
        plain(twin, image)
        expect(Buffer.compare(Buffer.from(ours.buffer), Buffer.from(twin.buffer))).toBe(0)
        expect(ours.reduce((a, b) => a + b)).toBe(4 * values.length)
      }),
      { numRuns: 500 },
    )
    fast()
  })

  it('gives percentiles within 1/64 of those of the sorted values, and parts add up to the whole', () => {
    const [a, b, whole] = [1, 2, 3].map(() => newHistogram())
    const pictures = [0, 1].map((k) => {
      const image = emptyImage({ x: 0, y: 0, width: 200, height: 100 })
      image.data.forEach((_, i) => {
        image.data[i] = 2 ** (10 * uniform(k, 0, i, 0, 0) - 9)
      })
      return image
    })
    countInto(a, pictures[0])
    countInto(b, pictures[1])
    for (const p of pictures) countInto(whole, p)
    expect(a.map((v, i) => v + b[i])).toEqual(whole)
    for (const c of [0, 1, 2, 3] as const) {
      const values = sorted(pictures.flatMap((p) => [...p.data.filter((_, i) => i % 4 === c)]))
      for (const q of [0.01, 0.1, 0.5, 0.75, 0.99]) {
        expect(Math.abs(percentile(whole, c, q) / quantile(values, q) - 1)).toBeLessThan(1 / 64)
      }
    }
  })

  it('leaves NaN out, and has no percentile of nothing', () => {
    const image = emptyImage({ x: 0, y: 0, width: 3, height: 1 })
    image.data.set([Number.NaN, 1, 1, 1, 1, Number.NaN, 1, 1, 1, Number.NaN, 1, 1])
    const counts = newHistogram()
    countInto(counts, image)
    expect(percentile(counts, 0, 1)).toBe(1 + 1 / 64)
    expect(percentile(newHistogram(), 0, 0.5)).toBeNaN()
  })
})
