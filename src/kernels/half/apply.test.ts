import { describe, expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { noise } from '../../../test/media/pictures.js'
import { fromHalves, toHalves } from './apply.js'
import { toHalves as plain, fromHalves as plainFrom } from './scalar.js'

const ranFast = watchKernels('toHalfRow', 'fromHalfRow')

/** Value of a half by the definition in IEEE 754-2019 §3.6. */
function halfValue(h: number): number {
  const sign = h & 0x8000 ? -1 : 1
  const [exponent, fraction] = [(h >> 10) & 31, h & 1023]
  if (exponent === 31) return fraction ? Number.NaN : sign * Number.POSITIVE_INFINITY
  return exponent === 0 ? sign * fraction * 2 ** -24 : sign * (1 + fraction / 1024) * 2 ** (exponent - 15)
}

function convert(values: ArrayLike<number>) {
  const out = new Uint16Array(values.length)
  const faults = { notANumber: 0, beyondHalf: 0 }
  toHalves(Float32Array.from(values), 0, values.length, out, faults)
  return { out, faults }
}

describe('toHalves', () => {
  it('gives back all 65536 halves; infinities become the largest and NaN 0, counted', () => {
    const all = Array.from({ length: 65536 }, (_, h) => halfValue(h))
    const { out, faults } = convert(all)
    for (let h = 0; h < 65536; h++) {
      const v = all[h]!
      const want = Number.isNaN(v) ? 0 : Number.isFinite(v) ? h : (h & 0x8000) | 0x7bff
      if (out[h] !== want) expect([h, out[h]]).toEqual([h, want])
    }
    expect(faults).toEqual({ notANumber: 2 * 1023, beyondHalf: 2 })
  })

  it('rounds to the nearest, ties to even: between all neighbours', () => {
    for (let h = 0; h < 0x7bff; h++) {
      const [low, high] = [halfValue(h), halfValue(h + 1)]
      const middle = (low + high) / 2
      // One binary32 step either side of the middle: exact for every half above the smallest few.
      const step = Math.max(2 ** -149, middle * 2 ** -23)
      const { out } = convert([middle, middle - step, middle + step, -middle])
      const even = h & 1 ? h + 1 : h
      const want = [even, h, h + 1, even | 0x8000]
      for (let i = 0; i < 4; i++) if (out[i] !== want[i]) expect([h, i, out[i]]).toEqual([h, i, want[i]])
    }
  })

  it('clamps what lies beyond, and only that is counted', () => {
    const { out, faults } = convert([65504, 65519.99, 65520, -1e30, 1e-40, -0])
    expect([...out]).toEqual([0x7bff, 0x7bff, 0x7bff, 0xfbff, 0, 0x8000])
    expect(faults).toEqual({ notANumber: 0, beyondHalf: 2 })
  })

  it('agrees with the nearest half found by search, for random bit patterns', () => {
    const random = noise(5)
    const bits = Uint32Array.from({ length: 20000 }, () => (random() * 2 ** 32) >>> 0)
    const values = new Float32Array(bits.buffer)
    const { out } = convert(values)
    for (let i = 0; i < values.length; i++) {
      const v = values[i]!
      if (!(Math.abs(v) <= 65504)) continue
      const error = Math.abs(halfValue(out[i]!) - v)
      for (const near of [out[i]! - 1, out[i]! + 1]) {
        if ((near & 0x7fff) > 0x7bff || (near & 0x8000) !== (out[i]! & 0x8000)) continue
        expect(error).toBeLessThanOrEqual(Math.abs(halfValue(near) - v))
      }
    }
  })
})

describe('halves by SIMD', () => {
  it('equal those in plain TypeScript to the bit, faults too, for any bits, length and start', () => {
    const random = noise(7)
    const bits = Uint32Array.from({ length: 70000 }, () => (random() * 2 ** 32) >>> 0)
    const values = new Float32Array(bits.buffer)
    for (const [at, count] of [
      [0, 70000],
      ...Array.from({ length: 40 }, (_, i) => [3 * i, i + 1] as const),
      [5, 4099],
    ] as const) {
      const [one, other] = [new Uint16Array(count), new Uint16Array(count)]
      const [a, b] = [
        { notANumber: 1, beyondHalf: 2 },
        { notANumber: 1, beyondHalf: 2 },
      ]
      toHalves(values, at, count, one, a)
      plain(values, at, count, other, b)
      expect(one).toEqual(other)
      expect(a).toEqual(b)
    }
  })

  it('widen exactly, all 65536', () => {
    const all = Uint16Array.from({ length: 65536 }, (_, h) => h)
    const [one, other] = [new Float32Array(65536), new Float32Array(65536)]
    fromHalves(all, one)
    plainFrom(all, other)
    for (let h = 0; h < 65536; h++) {
      if (!Object.is(one[h], other[h]) || !Object.is(one[h], halfValue(h)))
        expect([h, one[h]]).toEqual([h, halfValue(h)])
    }
    ranFast()
  })
})
