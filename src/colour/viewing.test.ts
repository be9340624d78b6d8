import { describe, expect, it } from 'vitest'
import { sdr } from '../../test/encodings.js'
import type { ColourEncoding } from '../core/index.js'
import { curveOf } from './curves/index.js'
import { viewImage, viewing } from './viewing.js'

const pq: ColourEncoding = { ...sdr, curve: 'pq', matrix: 'bt2020', primaries: 'bt2020' }
const hlg: ColourEncoding = { ...pq, curve: 'hlg' }
const log: ColourEncoding = { ...sdr, curve: 's-log3', primaries: 's-gamut3-cine' }
const exr: ColourEncoding = { ...sdr, curve: 'linear', matrix: 'rgb', range: 'full' }

const pixel = (r: number, g: number, b: number) => ({
  region: { x: 0, y: 0, width: 1, height: 1 },
  data: Float32Array.of(r, g, b, 1),
})

describe('viewing transform', () => {
  it('shows the code values of an untouched SDR plate as they are', () => {
    const { decode } = curveOf('bt709')
    for (let code = 0; code <= 255; code++) {
      const light = decode(code / 255)
      expect(viewing(sdr)([light, light, light])[1]).toBeCloseTo(code / 255, 9)
      expect(viewImage(pixel(light, light, light), sdr)[0]).toBe(code)
    }
  })

  it('keeps middle grey and leaves room above diffuse white for HDR, log and linear plates', () => {
    for (const encoding of [pq, log, exr]) {
      const view = viewing(encoding)
      expect(view([0.18, 0.18, 0.18])[0]).toBeCloseTo(0.46135613, 5) // IEC 61966-2-1
      const white = view([1, 1, 1])[1]
      const fire = view([4.9, 4.9, 4.9])[1]
      expect(white).toBeLessThan(fire)
      expect(fire).toBeLessThan(1)
    }
  })

  it('gives HLG the system gamma: grey of 37.8 % code is 25.95 of 203 cd/m² (BT.2408 Table 1)', () => {
    const light = curveOf('hlg').decode(0.378)
    const shown = curveOf('srgb').decode(viewing(hlg)([light, light, light])[1])
    expect(shown).toBeCloseTo(25.95 / 203, 3)
  })

  it('agrees with itself in bulk to one code, pushes by stops, boosts blacks, survives NaN', () => {
    for (const encoding of [sdr, pq, hlg, log, exr]) {
      for (const c of [-0.1, 0, 0.001, 0.01, 0.05, 0.3, 0.9, 2, 30]) {
        const shown = viewing(encoding)([c, c / 2, c / 4])
        const bytes = viewImage(pixel(c, c / 2, c / 4), encoding)
        shown.forEach((v, i) => {
          expect(Math.abs(bytes[i]! - 255 * v)).toBeLessThanOrEqual(1)
        })
      }
    }
    expect(viewImage(pixel(0.1, 0.1, 0.1), sdr, { stops: 1 })).toEqual(viewImage(pixel(0.2, 0.2, 0.2), sdr))
    expect(viewImage(pixel(0.001, 0, 0), exr, { blackBoost: 4 })[0]).toBe(Math.round(4 * 255 * 0.01292))
    expect(viewImage(pixel(Number.NaN, Number.POSITIVE_INFINITY, 0), exr)).toEqual(Uint8Array.of(0, 0, 0))
  })
})
