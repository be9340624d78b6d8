import fc from 'fast-check'
import { expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { emptyImage, type Region, uniform } from '../../core/index.js'
import { cover, type Ground } from './apply.js'
import { cover as plain } from './scalar.js'

const fast = watchKernels('coverRow')

const side = fc.integer({ min: 1, max: 20 })
const region: fc.Arbitrary<Region> = fc.record({
  x: fc.integer({ min: -12, max: 12 }),
  y: fc.integer({ min: -12, max: 12 }),
  width: side,
  height: side,
})
const odd = [Number.NaN, Number.POSITIVE_INFINITY, -2, 491]

function ground(r: Region): Ground {
  const light = emptyImage(r)
  const pixels = r.width * r.height
  const variance = new Float32Array(4 * pixels)
  for (let i = 0; i < 4 * pixels; i++) {
    light.data[i] = i % 29 === 3 ? odd[i % 4] : uniform(1, 0, i, 0, 0)
    variance[i] = i % 4 === 3 ? 0 : 1e-3 * uniform(2, 0, i, 0, 0)
  }
  const keep = Float32Array.from({ length: pixels }, (_, i) => uniform(3, 0, i, 0, 0))
  return { light, variance, keep, touched: new Uint8Array(pixels) }
}

it('covering by SIMD and in plain TypeScript gives the same bits, wherever the regions meet or do not', () => {
  fc.assert(
    fc.property(
      region,
      region,
      fc.boolean(),
      fc.boolean(),
      fc.boolean(),
      (under, over, wild, coloured, solid) => {
        // With holes in it or without, so that whole fours of pixels cover.
        const most = solid ? 0.02 : 1
        const layer = emptyImage(over)
        const coverage = coloured ? emptyImage(over) : undefined
        for (let i = 0; i < layer.data.length; i += 4) {
          const kind = 1 - most * uniform(4, 0, i, 0, 0)
          const alpha = kind < 0.2 ? 0 : kind < 0.4 ? 1 : kind
          if (kind > 0.1) layer.data.set([1.2 * alpha + (kind < 0.2 ? 0.3 : 0), 0.4, -0.1, alpha], i)
          if (wild && i % 52 === 8) layer.data[i + (i % 3)] = odd[i % 4]
        }
        coverage?.data.forEach((_, i, all) => {
          const kind = 1 - most * uniform(5, 0, i, 0, 0)
          all[i] = kind < 0.4 ? 0 : Math.min(1.3 * kind - 0.4, 1)
          if (wild && i % 71 === 9) all[i] = odd[i % 4] ?? 0
        })
        const ours = ground(under)
        const twin = ground(under)
        cover(ours, layer, [1e-4, 2e-4, 3e-4], coverage)
        plain(twin, layer, [1e-4, 2e-4, 3e-4], coverage)
        for (const key of ['variance', 'keep', 'touched'] as const) {
          ours[key].forEach((v, i) => {
            // The fourth value of variance is nobody's.
            if (key === 'variance' && i % 4 === 3) return
            if (!Object.is(v, twin[key][i])) expect({ key, i, v }).toEqual({ key, i, v: twin[key][i] })
          })
        }
        ours.light.data.forEach((v, i) => {
          if (!Object.is(v, twin.light.data[i])) expect({ i, v }).toEqual({ i, v: twin.light.data[i] })
        })
      },
    ),
    { numRuns: 300 },
  )
  fast()
})

// Porter & Duff 1984, over, a channel at a time; variances of independent noises by hand.
it('a coverage of its own for each channel covers that channel, and green stands for the pixel', () => {
  const r = { x: 0, y: 0, width: 1, height: 1 }
  const under: Ground = {
    light: { region: r, data: Float32Array.of(0.5, 0.25, 0.75, 1) },
    variance: Float32Array.of(4e-4, 4e-4, 4e-4, 0),
    keep: Float32Array.of(1),
    touched: new Uint8Array(1),
  }
  const layer = { region: r, data: Float32Array.of(0.125, 0.25, 0, 0.5) }
  cover(under, layer, [1e-4, 1e-4, 1e-4], { region: r, data: Float32Array.of(0.25, 0.5, 0, 0.5) })
  expect([...under.light.data]).toEqual([0.5, 0.375, 0.75, 1])
  expect([...under.keep, ...under.touched]).toEqual([0.5, 1])
  const variance = [0.5625 * 4e-4 + 0.0625e-4, 0.25 * 4e-4 + 0.25e-4, 4e-4]
  variance.forEach((v, c) => {
    expect(under.variance[c]).toBeCloseTo(v, 9)
  })
})
