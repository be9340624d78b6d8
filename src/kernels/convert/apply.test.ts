import { describe, expect, it } from 'vitest'
import { allocateFrame, hash, type PixelLayout } from '../../core/index.js'
import type { Coding } from '../planes/coding.js'
import { convertFrame } from './apply.js'

const yuv420 = (bits: number, alpha = false): PixelLayout => ({
  family: 'yuv',
  bits,
  float: false,
  subX: 1,
  subY: 1,
  alpha,
})
const rgb = (bits: number, alpha = false): PixelLayout => ({
  ...yuv420(bits, alpha),
  family: 'rgb',
  subX: 0,
  subY: 0,
})
const rgbFloat: PixelLayout = { ...rgb(32), float: true }
const limited: Coding = { range: 'limited', matrix: 'bt709', siting: 'left' }
const display: Coding = { range: 'full', matrix: 'rgb', siting: 'left' }

function noise(layout: PixelLayout, width: number, height: number) {
  const frame = allocateFrame(layout, width, height)
  frame.planes.forEach((plane, p) => {
    for (let i = 0; i < plane.data.length; i++) plane.data[i] = hash(3, 0, i, 0, p) >>> (32 - layout.bits)
  })
  return frame
}

describe('convertFrame', () => {
  it('copies what is the same in both, odd sizes included', () => {
    for (const layout of [yuv420(8), yuv420(10, true), rgb(16)]) {
      const frame = noise(layout, 5, 3)
      const coding = layout.family === 'rgb' ? display : limited
      const copy = convertFrame(frame, coding, layout, coding)
      expect(copy).toEqual(frame)
      expect(copy.planes[0].data).not.toBe(frame.planes[0].data)
    }
  })

  it('takes 8 to 10 bit limited as exactly ×4 and back to the same codes (BT.709 item 3.4)', () => {
    const frame = noise(yuv420(8), 7, 5)
    const ten = convertFrame(frame, limited, yuv420(10), limited)
    ten.planes.forEach((plane, p) => {
      expect([...plane.data]).toEqual([...frame.planes[p].data].map((v) => 4 * v))
    })
    expect(convertFrame(ten, limited, yuv420(8), limited)).toEqual(frame)
  })

  it('takes float code values to (2ⁿ − 1)·v, clamped, NaN to 0', () => {
    const frame = allocateFrame(rgbFloat, 4, 1)
    for (const plane of frame.planes) plane.data.set([-0.5, 0.5, 1.5, Number.NaN])
    expect([...convertFrame(frame, display, rgb(16), display).planes[1].data]).toEqual([0, 32768, 65535, 0])
    expect([...convertFrame(frame, display, rgb(8), display).planes[1].data]).toEqual([0, 128, 255, 0])
  })

  it('carries alpha at full range and makes it opaque where there is none', () => {
    const frame = noise(yuv420(8, true), 4, 4)
    const carried = convertFrame(frame, limited, yuv420(16, true), limited).planes[3].data
    expect([...carried]).toEqual([...frame.planes[3].data].map((v) => 257 * v))
    const made = convertFrame(noise(yuv420(8), 4, 4), limited, rgb(10, true), display).planes[3].data
    expect(new Set(made)).toEqual(new Set([1023]))
  })

  it('keeps grey grey through the matrix both ways', () => {
    const frame = allocateFrame(yuv420(10), 6, 4)
    for (const [p, v] of [502, 512, 512].entries()) frame.planes[p].data.fill(v)
    const picture = convertFrame(frame, limited, rgb(10), display)
    for (const plane of picture.planes) expect(new Set(plane.data)).toEqual(new Set([512])) // 1023·438/876 = 511.5
    const back = convertFrame(picture, display, yuv420(10), limited)
    expect(new Set(back.planes[1].data)).toEqual(new Set([512]))
    expect(Math.abs(back.planes[0].data[0] - 502)).toBeLessThanOrEqual(1)
  })
})
