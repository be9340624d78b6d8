/** What is looked at of a frame is what the whole frame holds there. */
import { describe, expect, it } from 'vitest'
import { allocateFrame, type ColourEncoding, type NativeFrame } from '../../core/index.js'
import { unpack } from '../../kernels/index.js'
import { stripsOf, thinned, viewOf } from './view.js'

const encoding: ColourEncoding = {
  primaries: 'bt709',
  curve: 'bt709',
  matrix: 'bt709',
  range: 'limited',
  siting: 'left',
}

function frame(width: number, height: number, subX: 0 | 1, subY: 0 | 1): NativeFrame {
  const layout = { family: 'yuv', bits: 10, float: false, subX, subY, alpha: true } as const
  const native = allocateFrame(layout, width, height)
  native.planes.forEach(({ data, width: w }, p) => {
    for (let i = 0; i < data.length; i++) data[i] = (37 * (i % w) + 101 * Math.floor(i / w) + 211 * p) % 1024
  })
  return native
}

describe('a thinned frame', () => {
  it.each([
    [1920, 1080, 1, 1, 640, 360],
    [1919, 1081, 1, 0, 640, 360],
    [3840, 2160, 0, 0, 640, 360],
  ] as const)('of %d×%d holds samples out of the middle of equal squares', (w, h, sx, sy, tw, th) => {
    const native = frame(w, h, sx, sy)
    const thin = thinned(native)
    expect([thin.width, thin.height]).toEqual([tw, th])
    const step = Math.round(w / tw)
    for (const [x, y] of [
      [0, 0],
      [7, 5],
      [tw - 1, th - 1],
    ] as const) {
      const [u, v] = [x * step + (step >> 1), y * step + (step >> 1)]
      expect(thin.planes[0]?.data[y * tw + x]).toBe(native.planes[0]?.data[v * w + u])
      const chroma = native.planes[2]
      expect(thin.planes[2]?.data[y * tw + x]).toBe(
        chroma?.data[(v >> sy) * (chroma.width as number) + (u >> sx)],
      )
    }
  })

  it('of a small picture is the picture', () => {
    const small = frame(300, 200, 1, 1)
    expect(thinned(small)).toBe(small)
  })
})

it('gives rows and sides as the whole frame has them', () => {
  const native = frame(960, 540, 1, 1)
  const all = unpack(native, encoding, { x: 0, y: 0, width: 960, height: 540 })
  const { rows, sides } = viewOf(3, native, thinned(native), encoding, true)
  expect(rows.map((r) => r.region.y)).toEqual(stripsOf(540))
  for (const part of [...rows, sides.top, sides.right, sides.bottom, sides.left]) {
    const { x, y, width, height } = part.region
    for (let v = 0; v < height; v++) {
      const from = 4 * ((y + v) * 960 + x)
      expect(part.data.subarray(4 * v * width, 4 * (v + 1) * width)).toEqual(
        all.data.subarray(from, from + 4 * width),
      )
    }
  }
})

it('spreads strips from top to bottom, on the grid of the blocks', () => {
  const strips = stripsOf(1080)
  expect(strips.length).toBeGreaterThanOrEqual(16)
  expect(strips.every((y) => y % 8 === 0 && y + 8 <= 1080)).toBe(true)
  expect(strips.at(-1)).toBeGreaterThan(1080 - 72)
  expect(stripsOf(7)).toEqual([])
})
