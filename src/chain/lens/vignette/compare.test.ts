import { expect, it } from 'vitest'
import { emptyImage, uniform } from '../../../core/index.js'
import type { Seen, SeenElement } from '../../compare.js'
import { compareFalloff, lookAtFalloff } from './compare.js'

const WIDTH = 240
const HEIGHT = 136
const frame = { x: 0, y: 0, width: WIDTH, height: HEIGHT }
const LENS = [-0.5, 0, 0] as const

/** A card of light 0.5 in the upper left corner over a plate of 0.2; `done` is the share of the lens's fall-off that the file shows. */
function look(done: number, applied: boolean) {
  const [plate, predicted, rendered] = [emptyImage(frame), emptyImage(frame), emptyImage(frame)]
  const alpha = new Float32Array(WIDTH * HEIGHT)
  const keep = new Float32Array(alpha.length).fill(1)
  for (let p = 0; p < alpha.length; p++) {
    const [x, y] = [p % WIDTH, Math.floor(p / WIDTH)]
    const r2 = ((x - 120) ** 2 + (y - 68) ** 2) / (119.5 ** 2 + 67.5 ** 2)
    const inside = x < 80 && y < 60
    const light = (k: number) => (inside ? 0.5 * (1 - 0.5 * k * r2) : 0.2)
    for (let c = 0; c < 3; c++) {
      plate.data[4 * p + c] = 0.2
      predicted.data[4 * p + c] = light(applied ? 1 : 0)
      rendered.data[4 * p + c] = light(done) + 0.01 * (uniform(3, 0, x, y, c) - 0.5)
    }
    if (inside) [alpha[p], keep[p]] = [1, 0]
  }
  const seen = { frame: 3, plate, predicted, rendered, keep } as unknown as Seen
  const e = { alpha, light: alpha } as unknown as SeenElement
  return lookAtFalloff(seen, e, LENS, applied ? LENS : undefined, 1)
}

it('finds the stops that the lens takes, and is quiet where they are gone', () => {
  const l = look(1, true)
  expect(l?.seen).toBeCloseTo(l?.lens as number, 2)
  // The corner's own quarter: r² from about 0.5 to 1, log2(1 − 0.5 r²) from −0.4 to −1.
  expect(l?.lens).toBeLessThan(-0.4)
  expect(l?.lens).toBeGreaterThan(-1)
  expect(compareFalloff('card', [l, l], undefined).verdicts).toEqual([])
})

it('tells an element as bright in the corner as in the middle, whatever the chain was asked', () => {
  for (const applied of [true, false]) {
    const l = look(0, applied)
    const [v] = compareFalloff('card', [l, l], undefined).verdicts
    expect(v?.tell).toBe('fall-off')
    expect(v?.measured).toBeCloseTo(0, 1)
    expect(v?.sentence).toMatch(/too bright/)
    expect(v?.region).toMatchObject({ x: 0, y: 0 })
  }
  expect(compareFalloff('card', [look(2, true)], undefined).verdicts[0]?.sentence).toMatch(/too dark/)
})

it('cannot tell without a fall-off that is known', () => {
  expect(compareFalloff('card', [], 'no flat frame').undecided).toEqual([
    { tell: 'fall-off', link: 'lens', why: 'no flat frame' },
  ])
})
