import { describe, expect, it } from 'vitest'
import type { FloatImage } from '../core/index.js'
import { over } from '../kernels/index.js'
import { depthOrder, halfOf } from './order.js'

const pixel = (...v: number[]): FloatImage => ({
  region: { x: 0, y: 0, width: 1, height: 1 },
  data: Float32Array.from(v),
})

describe('depth order', () => {
  it('lays far before near, and what has no distance last', () => {
    const order = depthOrder([
      { id: 'near', distanceM: 10, inside: undefined },
      { id: 'lens', distanceM: undefined, inside: undefined },
      { id: 'far', distanceM: 90, inside: undefined },
    ])
    expect(order.map((s) => s.id)).toEqual(['far', 'near', 'lens'])
  })

  it('lays what stands inside between the halves', () => {
    const order = depthOrder([
      { id: 'fire', distanceM: 40, inside: 'smoke' },
      { id: 'smoke', distanceM: 40, inside: undefined },
    ])
    expect(order).toEqual([
      { id: 'smoke', part: 'back' },
      { id: 'fire', part: 'whole' },
      { id: 'smoke', part: 'front' },
    ])
  })
})

describe('half of a medium', () => {
  // Beer–Lambert: layers multiply; two halves of optical depth make the whole.
  it('laid over itself is the whole', () => {
    const whole = pixel(0.3, 0.2, 0.1, 0.75)
    const { image: half } = halfOf({ image: whole, coverage: undefined })
    const two = pixel(...half.data)
    over(two, half)
    for (let c = 0; c < 4; c++) expect(two.data[c]).toBeCloseTo(whole.data[c] as number, 6)
  })

  it('laid over itself is the whole in every channel, where each has its own coverage', () => {
    const whole = { image: pixel(0.3, 0.2, 0.1, 0.5), coverage: pixel(0.75, 0.5, 0, 0.5) }
    const half = halfOf(whole)
    const [light, alphas] = [half.image.data, half.coverage?.data ?? []]
    for (let c = 0; c < 3; c++) {
      const [l, a, all] = [light[c], alphas[c], whole.coverage.data[c]] as [number, number, number]
      expect(l + (1 - a) * l).toBeCloseTo(whole.image.data[c] as number, 6)
      expect(1 - (1 - a) ** 2).toBeCloseTo(all, 6)
    }
    expect(light[3]).toBe(alphas[1])
    expect(alphas[3]).toBe(alphas[1])
  })
})
