import { describe, expect, it } from 'vitest'
import { allocateFrame, type FloatImage } from '../../../core/index.js'
import { applyHoldout } from './apply.js'

const rgb = (bits: number, float = false) =>
  ({ family: 'rgb', bits, float, subX: 0, subY: 0, alpha: false }) as const

function matte(bits: number, values: readonly number[], float = false) {
  const frame = allocateFrame(rgb(bits, float), values.length, 1)
  values.forEach((v, i) => {
    frame.planes[0]!.data[i] = v
  })
  return frame
}

const strip = (x: number, width: number): FloatImage => ({
  region: { x, y: 0, width, height: 1 },
  data: Float32Array.from(Array.from({ length: width }, () => [0.4, 0.2, 0.1, 0.5]).flat()),
})

describe('holdout', () => {
  // Porter & Duff 1984, A out B: A · (1 − αB), colour and alpha alike.
  it('is the out operator', () => {
    for (const m of [matte(8, [0, 51, 255]), matte(16, [0, 13107, 65535]), matte(32, [0, 0.2, 1], true)]) {
      const image = strip(0, 3)
      applyHoldout(image, m, 3, 1)
      const want = [0.4, 0.2, 0.1, 0.5, 0.32, 0.16, 0.08, 0.4, 0, 0, 0, 0]
      want.forEach((v, i) => {
        expect(image.data[i]).toBeCloseTo(v, 6)
      })
    }
  })

  it('lies where the frame says, also under a part of it', () => {
    const image = strip(2, 2)
    applyHoldout(image, matte(8, [255, 255, 0, 255, 0]), 5, 1)
    expect(image.data[3]).toBe(0.5)
    expect(image.data[7]).toBe(0)
  })

  it('never takes more than all or gives more than there is', () => {
    const image = strip(0, 2)
    applyHoldout(image, matte(32, [-3, 7], true), 2, 1)
    expect(image.data[3]).toBe(0.5)
    expect(image.data[7]).toBe(0)
  })

  it('is refused at another size', () => {
    expect(() => applyHoldout(strip(0, 2), matte(8, [0, 0]), 3, 1)).toThrow(/size of the plate/)
  })
})
