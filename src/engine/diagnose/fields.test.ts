/** Bars that move over a picture, shown whole and woven from two moments; the order of the fields is by construction. */
import { describe, expect, it } from 'vitest'
import { allocateFrame, type PixelLayout } from '../../core/index.js'
import { fieldsFinding } from './fields.js'
import { Motion } from './motion.js'

const layout: PixelLayout = { family: 'yuv', bits: 8, float: false, subX: 1, subY: 1, alpha: false }
const [W, H] = [160, 90]

/** @param at time that a line of a frame was seen at, in frames */
function told(at: (frame: number, line: number) => number, speed = 3, tagged?: 'top' | 'bottom') {
  const motion = new Motion((v) => v)
  for (let f = 0; f < 10; f++) {
    const native = allocateFrame(layout, W, H)
    const data = native.planes[0]?.data as Uint8Array
    for (let y = 0; y < H; y++)
      for (let x = 0; x < W; x++)
        data[y * W + x] = 120 + 60 * Math.sin((x - speed * at(f, y)) / 5 + y / 40) + 20 * Math.sin(x / 17)
    motion.add(f, native)
  }
  return fieldsFinding(
    motion.steps,
    motion.steps.map((s) => s.frame),
    tagged,
  )
}

describe('fields', () => {
  it.each([0.7, 3, 6])('whole frames moving %f pixels are whole', (speed) => {
    expect(told((f) => f, speed).verdict).toBe('fine')
  })

  it.each([
    ['top', 0],
    ['bottom', 1],
  ] as const)('%s first', (order, late) => {
    const found = told((f, y) => f + (y % 2 === late ? 0 : 0.5))
    expect(found.verdict).toBe('fault')
    expect(found.sentence).toContain(`the ${order} field first`)
  })

  it('an order that the flag has wrong is said', () => {
    const found = told((f, y) => f + (y % 2 === 0 ? 0 : 0.5), 3, 'bottom')
    expect(found.sentence).toContain('move as with the top one first')
  })

  it('cannot be told where nothing moves', () => {
    expect(told(() => 0).verdict).toBe('cannot tell')
  })
})
