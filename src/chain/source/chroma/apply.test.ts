import { describe, expect, it } from 'vitest'
import { allocateFrame, type NativeFrame, type PixelLayout, uniform } from '../../../core/index.js'
import { guidedChroma } from './apply.js'

const W = 64
const H = 48
const layout = (subX: 0 | 1, subY: 0 | 1, bits = 8): PixelLayout => ({
  ...{ family: 'yuv', bits, float: false, alpha: false },
  ...{ subX, subY },
})

/** Dark grey before green, the edge at a slant; chroma is the mean of its pixels, as an encoder makes it (left: co-sited across). */
function edge(
  subX: 0 | 1,
  subY: 0 | 1,
  bits = 8,
): { frame: NativeFrame; truth: (x: number, y: number) => number[] } {
  const top = 2 ** (bits - 8)
  const inside = (x: number, y: number) => x + 0.37 * y < 34.3
  const truth = (x: number, y: number) => (inside(x, y) ? [40, 128, 128] : [150, 60, 40])
  const frame = allocateFrame(layout(subX, subY, bits), W, H)
  frame.planes.forEach((plane, c) => {
    const [sx, sy] = c === 0 ? [0, 0] : [subX, subY]
    for (let j = 0; j < plane.height; j++)
      for (let i = 0; i < plane.width; i++) {
        let [sum, all] = [0, 0]
        for (let v = 0; v <= sy; v++)
          for (const [u, w] of sx === 0
            ? [[0, 1]]
            : [
                [-1, 1],
                [0, 2],
                [1, 1],
              ]) {
            const [x, y] = [Math.max((i << sx) + (u as number), 0), (j << sy) + v]
            sum += (w as number) * (truth(x, y)[c] as number)
            all += w as number
          }
        plane.data[j * plane.width + i] = Math.round((top * sum) / all)
      }
  })
  return { frame, truth }
}

function worst(frame: NativeFrame, truth: (x: number, y: number) => number[]) {
  let [sum, n] = [0, 0]
  for (let y = 2; y < H - 2; y++)
    for (let x = 2; x < W - 2; x++) {
      if (Math.abs(x + 0.37 * y - 34.3) > 4) continue
      for (const c of [1, 2]) {
        sum += Math.abs((frame.planes[c]?.data[y * W + x] as number) / 256 - (truth(x, y)[c] as number))
        n++
      }
    }
  return sum / n
}

describe('chroma guided by luma', () => {
  it.each([
    [1, 1, 8],
    [1, 0, 8],
    [1, 1, 10],
  ] as const)('stands at the edge where luma has it: %i, %i, %i bits', (subX, subY, bits) => {
    const { frame, truth } = edge(subX, subY, bits)
    const made = guidedChroma(frame, { siting: 'left', range: 'limited' })
    expect(made.layout).toEqual({ ...layout(0, 0), bits: 16 })
    // A linear ramp between samples 2 px apart is off by a quarter of the step on the mean of the two pixels at the edge: 78 of 255 here, 10 over the 8 px looked at.
    expect(worst(made, truth)).toBeLessThan(4)
    for (let p = 0; p < W * H; p++)
      expect(made.planes[0]?.data[p]).toBe((frame.planes[0]?.data[p] as number) << (16 - bits))
  })

  it('keeps an even colour to the code, at odd sizes, in both ranges and wherever samples sit', () => {
    for (const [width, height] of [
      [1, 1],
      [7, 5],
      [2, 9],
    ] as const)
      for (const siting of ['left', 'centre', 'top-left', 'bottom-right'] as const) {
        const frame = allocateFrame(layout(1, 1), width, height)
        for (const [c, plane] of frame.planes.entries())
          for (let i = 0; i < plane.data.length; i++)
            plane.data[i] = c === 0 ? 255 * uniform(4, 0, i, 0, 0) : 77
        const limited = guidedChroma(frame, { siting, range: 'limited' })
        const full = guidedChroma(frame, { siting, range: 'full' })
        expect([...(limited.planes[1]?.data ?? [])].every((v) => v === 77 * 256)).toBe(true)
        expect([...(full.planes[2]?.data ?? [])].every((v) => v === 77 * 257)).toBe(true)
      }
  })

  it('leaves alone what is not subsampled', () => {
    const frame = allocateFrame(layout(0, 0), 4, 4)
    expect(guidedChroma(frame, { siting: 'left', range: 'limited' })).toBe(frame)
  })
})
