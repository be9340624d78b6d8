import fc from 'fast-check'
import { expect, it } from 'vitest'
import { emptyImage, type Region, uniform } from '../../core/index.js'
import { cover, type Ground } from './apply.js'
import { cover as plain } from './scalar.js'

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
    fc.property(region, region, fc.boolean(), (under, over, wild) => {
      const layer = emptyImage(over)
      for (let i = 0; i < layer.data.length; i += 4) {
        const kind = uniform(4, 0, i, 0, 0)
        const alpha = kind < 0.2 ? 0 : kind < 0.4 ? 1 : kind
        if (kind > 0.1) layer.data.set([1.2 * alpha + (kind < 0.2 ? 0.3 : 0), 0.4, -0.1, alpha], i)
        if (wild && i % 52 === 8) layer.data[i + (i % 3)] = odd[i % 4]
      }
      const ours = ground(under)
      const twin = ground(under)
      cover(ours, layer, [1e-4, 2e-4, 3e-4])
      plain(twin, layer, [1e-4, 2e-4, 3e-4])
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
    }),
    { numRuns: 300 },
  )
})
