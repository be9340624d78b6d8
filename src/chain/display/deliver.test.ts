import { describe, expect, it } from 'vitest'
import { curveOf } from '../../colour/index.js'
import { allocateFrame, type ColourEncoding, type CurveName, type PixelLayout } from '../../core/index.js'
import { curveTable } from '../../kernels/index.js'
import { nullRender } from './deliver.js'

const layout = (family: 'rgb' | 'yuv', bits: number, float = false): PixelLayout => ({
  family,
  bits,
  float,
  subX: family === 'yuv' ? 1 : 0,
  subY: 0,
  alpha: false,
})
const coded = (curve: CurveName, yuv = false): ColourEncoding => ({
  range: yuv ? 'limited' : 'full',
  matrix: yuv ? 'bt709' : 'rgb',
  curve,
  primaries: 'bt709',
  siting: 'left',
})
const delivery = (from: ColourEncoding, to: ColourEncoding, l: PixelLayout) => ({
  from,
  to,
  layout: l,
  decode: curveTable(curveOf(from.curve).decode),
  encode: curveTable(curveOf(to.curve).encode),
})

describe('null render', () => {
  // IEC 61966-2-1: ((c + 0.055) / 1.055)^2.4, below 0.04045 c / 12.92.
  it('of sRGB as linear float is the standard’s own light', () => {
    const plate = allocateFrame(layout('rgb', 8), 256, 1)
    for (const p of plate.planes) for (let i = 0; i < 256; i++) p.data[i] = i
    const out = nullRender(plate, delivery(coded('srgb'), coded('linear'), layout('rgb', 32, true)))
    for (let i = 0; i < 256; i++) {
      const c = i / 255
      const light = c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4
      for (const p of out.planes) expect(p.data[i]).toBeCloseTo(light, 5)
    }
  })

  // ST 2084: 203 cd/m² is .5806889, 10-bit narrow 573 (colour-science, OCIO); diffuse white here.
  it('of PQ in 10 bits puts 203 cd/m² at 1', () => {
    const plate = allocateFrame(layout('yuv', 10), 4, 2)
    plate.planes[0]!.data.fill(573)
    plate.planes[1]!.data.fill(512)
    plate.planes[2]!.data.fill(512)
    const out = nullRender(plate, delivery(coded('pq', true), coded('linear'), layout('rgb', 32, true)))
    // One step of 10 bits is 1 % of light there.
    for (const p of out.planes) for (const v of p.data) expect(Math.abs((v as number) - 1)).toBeLessThan(0.01)
  })

  // BT.709, item 1.2: V = 1.099 L^0.45 − 0.099; white 940, black 64 at 10 bits.
  it('of linear float as BT.709 video is the standard’s own code', () => {
    const plate = allocateFrame(layout('rgb', 32, true), 4, 1)
    const lights = [0, 0.18, 0.5, 1]
    for (const p of plate.planes) p.data.set(lights)
    const out = nullRender(plate, delivery(coded('linear'), coded('bt709', true), layout('yuv', 10)))
    lights.forEach((l, i) => {
      const v = l < 0.018 ? 4.5 * l : 1.099 * l ** 0.45 - 0.099
      expect(Math.abs((out.planes[0]!.data[i] as number) - (64 + 876 * v))).toBeLessThanOrEqual(0.51)
    })
    expect([...out.planes[1]!.data]).toEqual([512, 512])
  })

  it('between equal curves carries the samples over, and leaves the plate alone', () => {
    const plate = allocateFrame(layout('yuv', 10), 6, 4)
    plate.planes.forEach((p, k) => {
      for (let i = 0; i < p.data.length; i++) p.data[i] = (37 * i + 211 * k) % 1024
    })
    const before = plate.planes.map((p) => [...p.data])
    const out = nullRender(plate, delivery(coded('pq', true), coded('pq', true), layout('yuv', 10)))
    expect(out.planes.map((p) => [...p.data])).toEqual(before)
    out.planes[0]!.data.fill(0)
    expect(plate.planes.map((p) => [...p.data])).toEqual(before)
  })
})
