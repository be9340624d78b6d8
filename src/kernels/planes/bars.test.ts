/** Colours of test signals in code values, every matrix, range and depth. */
import { describe, expect, it } from 'vitest'
import { allocateFrame, type PixelLayout, type RangeName } from '../../core/index.js'
import { pack } from '../pack/apply.js'
import type { Coding } from './coding.js'
import { unpack } from './unpack.js'

const layout = (bits: number): PixelLayout => ({
  family: 'yuv',
  bits,
  float: false,
  subX: 0,
  subY: 0,
  alpha: false,
})
const pixel = { x: 0, y: 0, width: 1, height: 1 }

function codes(rgb: readonly number[], bits: number, range: RangeName, matrix: Coding['matrix']): number[] {
  const image = { region: pixel, data: Float32Array.of(...rgb, 1) }
  return pack(image, layout(bits), { range, matrix, siting: 'left' }).planes.map((p) => p.data[0])
}

describe('75 % bars', () => {
  // BT.709, limited, 10 bits: colour-science 0.4.6; SMPTE RP 219 has the same (from memory).
  it.each([
    ['white', [1, 1, 1], [721, 512, 512]],
    ['yellow', [1, 1, 0], [674, 176, 543]],
    ['cyan', [0, 1, 1], [581, 589, 176]],
    ['green', [0, 1, 0], [534, 253, 207]],
    ['magenta', [1, 0, 1], [251, 771, 817]],
    ['red', [1, 0, 0], [204, 435, 848]],
    ['blue', [0, 0, 1], [111, 848, 481]],
  ] as const)('%s is %j · 0.75 in %j, and back', (_name, colour, expected) => {
    const rgb = colour.map((v) => 0.75 * v)
    expect(codes(rgb, 10, 'limited', 'bt709')).toEqual(expected)
    const frame = allocateFrame(layout(10), 1, 1)
    expected.forEach((code, p) => {
      frame.planes[p].data[0] = code
    })
    const back = unpack(frame, { range: 'limited', matrix: 'bt709', siting: 'left' }, pixel).data
    rgb.forEach((v, c) => {
      expect(Math.abs(back[c] - v)).toBeLessThan(0.0018)
    })
  })
})

describe('primaries at 8 bits, limited', () => {
  // colour-science 0.4.6 and zscale of ffmpeg 5.1.9 agree.
  it.each([
    ['bt601', [81, 90, 240], [145, 54, 34], [41, 240, 110]],
    ['bt709', [63, 102, 240], [173, 42, 26], [32, 240, 118]],
    ['bt2020', [74, 97, 240], [164, 47, 25], [29, 240, 119]],
  ] as const)('%s: red %j, green %j, blue %j exactly', (matrix, ...expected) => {
    expected.forEach((triple, i) => {
      const rgb = [0, 1, 2].map((c) => (c === i ? 1 : 0))
      expect(codes(rgb, 8, 'limited', matrix)).toEqual(triple)
    })
  })
})

it.each(['bt601', 'bt709', 'bt2020'] as const)('%s: white and half white have no chroma', (matrix) => {
  // colour-science 0.4.6
  for (const [v, eight, ten] of [
    [1, 235, 940],
    [0.5, 126, 502],
  ] as const) {
    expect(codes([v, v, v], 8, 'limited', matrix)).toEqual([eight, 128, 128])
    expect(codes([v, v, v], 10, 'limited', matrix)).toEqual([ten, 512, 512])
  }
})

describe('R′G′B′ 0.75 0.25 0.1', () => {
  // Y′, Cb, Cr by colour-science 0.4.6; codes by hand from BT.709 item 3.4 and BT.2100 table 9.
  const table = [
    ['bt601', 0.3824, -0.15936795, 0.26219686],
    ['bt709', 0.34547, -0.13228605, 0.25687706],
    ['bt2020', 0.372455, -0.14481503, 0.25603214],
  ] as const
  it.each(table)('%s: limited and full, 8 to 16 bits', (matrix, y, cb, cr) => {
    for (const bits of [8, 9, 10, 12, 14, 16]) {
      const scale = 2 ** (bits - 8)
      const top = 2 ** bits - 1
      const limited = [(219 * y + 16) * scale, (224 * cb + 128) * scale, (224 * cr + 128) * scale]
      const full = [top * y, top * cb + 128 * scale, top * cr + 128 * scale]
      for (const [range, expected] of [
        ['limited', limited],
        ['full', full],
      ] as const) {
        codes([0.75, 0.25, 0.1], bits, range, matrix).forEach((code, p) => {
          expect(Math.abs(code - expected[p])).toBeLessThan(0.5 + 2e-7 * 2 ** bits)
        })
      }
    }
  })

  it.each(table)('%s: unrounded', (matrix, ...expected) => {
    const image = { region: pixel, data: Float32Array.of(0.75, 0.25, 0.1, 1) }
    const float = { ...layout(32), float: true }
    const { planes } = pack(image, float, { range: 'full', matrix, siting: 'left' })
    expected.forEach((value, p) => {
      expect(Math.abs(planes[p].data[0] - value)).toBeLessThan(2e-7)
    })
  })
})
