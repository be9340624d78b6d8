import { describe, expect, it } from 'vitest'
import { curveOf } from '../colour/index.js'
import {
  allocateFrame,
  type ColourEncoding,
  emptyImage,
  type NativeFrame,
  type PixelLayout,
  type Region,
} from '../core/index.js'
import { curveTable } from '../kernels/index.js'
import { composeFrame } from './compose.js'
import { drawn, type Sheet, sheetOf } from './element.js'
import type { ComposeSettings } from './layOver.js'
import { grainModel } from './sensor/grain/model.js'

const WIDTH = 37
const HEIGHT = 23
const frame: Region = { x: 0, y: 0, width: WIDTH, height: HEIGHT }
const yuv = (subX: 0 | 1, subY: 0 | 1): PixelLayout => ({
  family: 'yuv',
  bits: 10,
  float: false,
  subX,
  subY,
  alpha: false,
})
const encoding: ColourEncoding = {
  range: 'limited',
  matrix: 'bt709',
  curve: 'bt709',
  primaries: 'bt709',
  siting: 'left',
}
const grain = grainModel({
  ...{ levels: [0.1, 0.6], variance: [1e-4, 3e-4, 1e-4, 3e-4, 1e-4, 3e-4] },
  ...{ correlation: Array(12).fill(0.2), mix: [0.1, 0, 0.1], cross: [] },
  ...{ coarse: [0.1, 0.4, 0.1, 0.4, 0.2, 0.5], coarseSize: [6], coarseMix: [-0.5, -0.2, 0.1] },
})

function settings(layout: PixelLayout): ComposeSettings {
  const decode = curveTable(curveOf('bt709').decode)
  const encode = curveTable(curveOf('bt709').encode)
  return {
    frame,
    delivery: { from: encoding, to: encoding, layout, decode, encode },
    decode,
    encode,
    steps: [{ id: 'a', part: 'whole' }],
    casts: new Map(),
    blur: undefined,
    grain,
    limits: undefined,
    codes: undefined,
    codeReach: 0,
  }
}

function plateOf(layout: PixelLayout): NativeFrame {
  const plate = allocateFrame(layout, WIDTH, HEIGHT)
  plate.planes.forEach((p, k) => {
    for (let i = 0; i < p.data.length; i++)
      p.data[i] = k === 0 ? 200 + ((i * 53) % 500) : 470 + ((i * (17 + k)) % 90)
  })
  return plate
}

/** A layer over `region` that holds something only inside `lit`. */
function layer(region: Region, lit: Region): Sheet {
  const image = emptyImage(region)
  for (let y = lit.y; y < lit.y + lit.height; y++) {
    for (let x = lit.x; x < lit.x + lit.width; x++) {
      const a = 0.3 + 0.6 * ((x * 7 + y * 3) % 5) * 0.2
      image.data.set([0.5 * a, 0.2 * a, 0.1 * a, a], 4 * ((y - region.y) * region.width + x - region.x))
    }
  }
  return sheetOf({
    id: 'a',
    image,
    coverage: undefined,
    variance: [2e-5, 2e-5, 2e-5],
    sensorShare: 1,
    inCamera: undefined,
    emission: undefined,
  })
}

const planes = (f: NativeFrame) => f.planes.map((p) => [...p.data])

describe.each([
  ['4:2:0', yuv(1, 1)],
  ['4:2:2', yuv(1, 0)],
  ['4:4:4', yuv(0, 0)],
])('one frame in %s', (_, layout) => {
  const s = settings(layout)

  it('without layers is the plate, sample by sample', () => {
    const plate = plateOf(layout)
    const out = composeFrame(plate, [], 0, s)
    expect(planes(out.frame)).toEqual(planes(plate))
    expect(out.touched.width).toBe(0)
  })

  it('by region equals the whole frame', () => {
    for (const lit of [
      { x: 9, y: 5, width: 8, height: 7 },
      { x: 0, y: 0, width: 3, height: 3 },
      { x: WIDTH - 5, y: HEIGHT - 1, width: 5, height: 1 },
    ]) {
      const part = composeFrame(plateOf(layout), [layer(lit, lit)], 4, s)
      const whole = composeFrame(plateOf(layout), [layer(frame, lit)], 4, s)
      expect(planes(part.frame)).toEqual(planes(whole.frame))
      expect(part.touched).toEqual(lit)
      expect(whole.touched).toEqual(lit)
    }
  })

  it('takes a layer of one pixel at every border and corner, and changes nothing far from it', () => {
    for (const x of [0, 1, 18, WIDTH - 2, WIDTH - 1]) {
      for (const y of [0, 1, 11, HEIGHT - 2, HEIGHT - 1]) {
        const lit = { x, y, width: 1, height: 1 }
        const out = composeFrame(plateOf(layout), [layer(lit, lit)], 0, s)
        expect(out.touched).toEqual(lit)
        const plate = plateOf(layout)
        out.frame.planes.forEach((p, k) => {
          const [sx, sy] = k === 0 ? [0, 0] : [layout.subX, layout.subY]
          for (let i = 0; i < p.data.length; i++) {
            if (p.data[i] === plate.planes[k]!.data[i]) continue
            // Luma: the pixel itself. Chroma: a sample reaches less than two of its own steps.
            expect(Math.abs((i % p.width) - x / (1 << sx))).toBeLessThan(k === 0 ? 1 : 2)
            expect(Math.abs(Math.floor(i / p.width) - y / (1 << sy))).toBeLessThan(k === 0 ? 1 : 2)
          }
        })
        expect(out.frame.planes[0]!.data[y * WIDTH + x]).not.toBe(plate.planes[0]!.data[y * WIDTH + x])
      }
    }
  })

  it('covers wholly with alpha 1: what lay beneath is gone', () => {
    const one = (shift: number) => {
      const plate = plateOf(layout)
      for (const p of plate.planes)
        for (let i = 0; i < p.data.length; i++) p.data[i] = (p.data[i] as number) + shift
      const opaque: Sheet = { ...layer(frame, frame), variance: [1, 1, 1] }
      for (let i = 0; i < drawn(opaque).image.data.length; i += 4)
        drawn(opaque).image.data.set([0.4, 0.3, 0.2, 1], i)
      return planes(composeFrame(plate, [opaque], 0, s).frame)
    }
    expect(one(0)).toEqual(one(40))
  })
})

describe('over in light', () => {
  // Porter & Duff 1984, over: C = A + (1 − α) B, in linear light; BT.709, item 1.2 for the code values.
  it('is that of the published operator, in code values of the file', () => {
    const layout = yuv(0, 0)
    const plate = allocateFrame(layout, WIDTH, HEIGHT)
    const code = (l: number) => 64 + 876 * (1.099 * l ** 0.45 - 0.099)
    plate.planes[0]!.data.fill(Math.round(code(0.18)))
    plate.planes[1]!.data.fill(512)
    plate.planes[2]!.data.fill(512)
    const grey: Sheet = { ...layer(frame, frame), variance: [0, 0, 0] }
    for (let i = 0; i < drawn(grey).image.data.length; i += 4)
      drawn(grey).image.data.set([0.2, 0.2, 0.2, 0.5], i)
    const out = composeFrame(plate, [grey], 0, { ...settings(layout), grain: undefined })
    for (const v of out.frame.planes[0]!.data)
      expect(Math.abs((v as number) - code(0.2 + 0.5 * 0.18))).toBeLessThanOrEqual(1)
    for (const v of out.frame.planes[1]!.data) expect(v).toBe(512)
  })
})

// BT.709 camera curve by hand: 1.099 · 0.3^0.45 − 0.099 = 0.540 [bt709]. Clipping each plane of Y′CbCr for itself would leave
// B′ at 0.18: a lemon flame.
it('light beyond the peak clips per channel, so that a flame keeps its blue', () => {
  const layout = yuv(0, 0)
  const image = emptyImage({ x: 10, y: 6, width: 8, height: 8 })
  for (let p = 0; p < 64; p++) image.data.set([4, 2, 0.3, 1], 4 * p)
  const flame = sheetOf({
    id: 'a',
    image,
    coverage: undefined,
    variance: [0, 0, 0],
    sensorShare: 1,
    inCamera: undefined,
    emission: undefined,
  })
  const { frame: out } = composeFrame(plateOf(layout), [flame], 0, { ...settings(layout), grain: undefined })
  const at = 10 * WIDTH + 14
  const [y, cb] = [0, 1].map((k) => out.planes[k]?.data[at] as number) as [number, number]
  const blue = (y - 64) / 876 + 1.8556 * ((cb - 512) / 896)
  expect(blue).toBeCloseTo(0.54, 2)
})

it.each([yuv(1, 0), yuv(1, 1)])(
  'fills a hole of a float plate from its neighbours in a delivery of whole numbers too',
  (layout) => {
    const rgb: ColourEncoding = { ...encoding, range: 'full', matrix: 'rgb', curve: 'linear' }
    const s = settings(layout)
    const plate = allocateFrame(
      { family: 'rgb', bits: 32, float: true, subX: 0, subY: 0, alpha: false },
      WIDTH,
      HEIGHT,
    )
    for (const { data } of plate.planes) data.fill(0.2)
    const at = 11 * WIDTH + 18
    for (const { data } of plate.planes) data[at] = Number.NaN
    const linear = curveTable((x) => x)
    const delivery = { ...s.delivery, from: rgb, decode: linear }
    const out = composeFrame(plate, [], 0, { ...s, delivery, decode: linear, grain: undefined })
    expect(out.replaced).toEqual({ nan: 3, infinite: 0 })
    for (const { data } of out.frame.planes) expect(new Set(data).size).toBe(1)
  },
)
