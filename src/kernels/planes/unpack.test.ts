import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { allocateFrame, hash, type PixelLayout, type Region } from '../../core/index.js'
import { pack } from '../pack/apply.js'
import type { Coding } from './coding.js'
import { unpack } from './unpack.js'

const yuv = (bits: number, subX: 0 | 1 | 2 = 0, subY: 0 | 1 = 0, alpha = false): PixelLayout => ({
  family: 'yuv',
  bits,
  float: false,
  subX,
  subY,
  alpha,
})
const pixel: Region = { x: 0, y: 0, width: 1, height: 1 }

// colour-science 0.4.6: R′G′B′, then limited 8-bit and 10-bit codes; zscale of ffmpeg 5.1.9 agrees.
const tables: [Coding['matrix'], number[], number[], number[]][] = [
  ['bt601', [1, 0, 0], [81, 90, 240], [326, 361, 960]],
  ['bt601', [0, 1, 0], [145, 54, 34], [578, 215, 137]],
  ['bt601', [0, 0, 1], [41, 240, 110], [164, 960, 439]],
  ['bt601', [0.75, 0.25, 0.1], [100, 92, 187], [399, 369, 747]],
  ['bt709', [1, 0, 0], [63, 102, 240], [250, 409, 960]],
  ['bt709', [0, 1, 0], [173, 42, 26], [691, 167, 105]],
  ['bt709', [0, 0, 1], [32, 240, 118], [127, 960, 471]],
  ['bt709', [1, 1, 1], [235, 128, 128], [940, 512, 512]],
  ['bt709', [0.5, 0.5, 0.5], [126, 128, 128], [502, 512, 512]],
  ['bt709', [0.75, 0.25, 0.1], [92, 98, 186], [367, 393, 742]],
  ['bt2020', [1, 0, 0], [74, 97, 240], [294, 387, 960]],
  ['bt2020', [0, 1, 0], [164, 47, 25], [658, 189, 100]],
  ['bt2020', [0, 0, 1], [29, 240, 119], [116, 960, 476]],
  ['bt2020', [0.75, 0.25, 0.1], [98, 96, 185], [390, 382, 741]],
]

describe('Y′CbCr tables', () => {
  it.each(tables)('%s of %j is %j at 8 bits and %j at 10', (matrix, rgb, eight, ten) => {
    const coding: Coding = { range: 'limited', matrix, siting: 'left' }
    const image = { region: pixel, data: Float32Array.of(...rgb, 1) }
    for (const [bits, codes] of [
      [8, eight],
      [10, ten],
    ] as const) {
      expect(pack(image, yuv(bits), coding).planes.map((p) => p.data[0])).toEqual(codes)
      const frame = allocateFrame(yuv(bits), 1, 1)
      codes.forEach((code, p) => {
        frame.planes[p].data[0] = code
      })
      const back = unpack(frame, coding, pixel).data
      rgb.forEach((v, c) => {
        expect(Math.abs(back[c] - v)).toBeLessThan(bits === 8 ? 0.007 : 0.0018)
      })
    }
  })

  it('full range, 8 bit, BT.709 (colour-science 0.4.6): .75 .25 .1 is 88 94 194', () => {
    const coding: Coding = { range: 'full', matrix: 'bt709', siting: 'left' }
    const image = { region: pixel, data: Float32Array.of(0.75, 0.25, 0.1, 1) }
    expect(pack(image, yuv(8), coding).planes.map((p) => p.data[0])).toEqual([88, 94, 194])
  })
})

describe('unpack', () => {
  const layouts = fc.record({
    family: fc.constantFrom('yuv', 'rgb'),
    bits: fc.constantFrom(8, 10, 16),
    sub: fc.constantFrom<[0 | 1 | 2, 0 | 1]>([0, 0], [1, 0], [1, 1], [2, 0]),
    alpha: fc.boolean(),
  })

  it('gives the same bits for a region as for the whole, odd and tiny sizes included', () => {
    fc.assert(
      fc.property(
        layouts,
        fc.constantFrom('left', 'centre', 'top-left'),
        fc.integer({ min: 1, max: 13 }),
        fc.integer({ min: 1, max: 13 }),
        fc.array(fc.nat(99), { minLength: 4, maxLength: 4 }),
        (l, siting, width, height, cut) => {
          const layout = {
            ...yuv(l.bits, l.family === 'yuv' ? l.sub[0] : 0, l.family === 'yuv' ? l.sub[1] : 0, l.alpha),
            family: l.family,
          } as PixelLayout
          const frame = allocateFrame(layout, width, height)
          frame.planes.forEach((plane, p) => {
            for (let i = 0; i < plane.data.length; i++) plane.data[i] = hash(1, 2, i, 3, p) >>> (32 - l.bits)
          })
          const coding = { range: 'limited', matrix: l.family === 'yuv' ? 'bt709' : 'rgb', siting } as Coding
          const whole = unpack(frame, coding, { x: 0, y: 0, width, height }).data
          const x = cut[0] % width
          const y = cut[1] % height
          const region = { x, y, width: 1 + (cut[2] % (width - x)), height: 1 + (cut[3] % (height - y)) }
          const part = unpack(frame, coding, region).data
          for (let j = 0; j < region.height; j++) {
            const at = 4 * ((y + j) * width + x)
            expect(part.subarray(4 * j * region.width, 4 * (j + 1) * region.width)).toEqual(
              whole.subarray(at, at + 4 * region.width),
            )
          }
        },
      ),
    )
  })

  it.each([
    ['left', 'right'],
    ['top-left', 'top-right'],
    ['bottom-left', 'bottom-right'],
  ] as const)('of a mirrored frame, %s become %s, is the mirrored picture', (siting, mirrored) => {
    const width = 8
    const frame = allocateFrame(yuv(10, 1, 1), width, 6)
    const turned = allocateFrame(yuv(10, 1, 1), width, 6)
    frame.planes.forEach((plane, p) => {
      for (let i = 0; i < plane.data.length; i++) {
        const v = hash(1, 2, i, 3, p) >>> 22
        plane.data[i] = v
        turned.planes[p].data[i - 2 * (i % plane.width) + plane.width - 1] = v
      }
    })
    const region = { x: 0, y: 0, width, height: 6 }
    const coding: Coding = { range: 'limited', matrix: 'bt709', siting }
    const a = unpack(frame, coding, region).data
    const b = unpack(turned, { ...coding, siting: mirrored }, region).data
    for (let i = 0; i < a.length; i += 4) {
      const pixel = i / 4
      const at = 4 * (pixel - 2 * (pixel % width) + width - 1)
      for (let c = 0; c < 3; c++) expect(Math.abs(a[i + c] - b[at + c])).toBeLessThan(1e-6)
    }
  })

  it('keeps super-whites and sub-blacks, reads alpha as full range, sets 1 where there is none', () => {
    const frame = allocateFrame(yuv(10, 0, 0, true), 2, 1)
    frame.planes[0].data.set([1019, 4])
    frame.planes[1].data.set([512, 512])
    frame.planes[2].data.set([512, 512])
    frame.planes[3].data.set([1023, 64])
    const coding: Coding = { range: 'limited', matrix: 'bt709', siting: 'left' }
    const { data } = unpack(frame, coding, { x: 0, y: 0, width: 2, height: 1 })
    expect(data[0]).toBeCloseTo((1019 - 64) / 876, 6)
    expect(data[4]).toBeCloseTo((4 - 64) / 876, 6)
    expect(data[3]).toBe(1)
    expect(data[7]).toBeCloseTo(64 / 1023, 6)
    const opaque = { ...frame, layout: yuv(10), planes: frame.planes.slice(0, 3) }
    expect(unpack(opaque, coding, { x: 1, y: 0, width: 1, height: 1 }).data[3]).toBe(1)
  })

  it('passes float values untouched, NaN and infinity too', () => {
    const layout: PixelLayout = { ...yuv(32), family: 'rgb', float: true }
    const frame = allocateFrame(layout, 1, 1)
    frame.planes[0].data[0] = Number.NaN
    frame.planes[1].data[0] = Number.NEGATIVE_INFINITY
    frame.planes[2].data[0] = Math.fround(1e-40)
    const { data } = unpack(frame, { range: 'full', matrix: 'rgb', siting: 'left' }, pixel)
    expect([...data]).toEqual([Number.NaN, Number.NEGATIVE_INFINITY, Math.fround(1e-40), 1])
  })

  it('refuses a region outside the frame and planes without a matrix', () => {
    const frame = allocateFrame(yuv(8), 2, 2)
    const coding: Coding = { range: 'limited', matrix: 'bt709', siting: 'left' }
    expect(() => unpack(frame, coding, { x: 1, y: 0, width: 2, height: 1 })).toThrow(
      'does not lie in the frame',
    )
    expect(() => unpack(frame, { ...coding, matrix: 'rgb' }, pixel)).toThrow('need the matrix')
  })
})
