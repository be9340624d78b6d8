import { expect, it } from 'vitest'
import { emptyImage } from '../../../core/index.js'
import type { Seen, SeenElement } from '../../compare.js'
import { compareFringe, lookAtFringe, showsFringe } from './compare.js'
import { linear } from './model.js'

const frame = { x: 0, y: 0, width: 480, height: 270 }
const LENS = linear([1.008, 0.993])
const region = { x: 20, y: 15, width: 190, height: 130 }

/** Grey panels with soft edges, each colour drawn `k` times as large about the frame's middle. */
function look(factors: readonly [number, number, number]) {
  const rendered = emptyImage(frame)
  const alpha = new Float32Array(frame.width * frame.height)
  const step = (d: number) => 1 / (1 + Math.exp(-d / 0.6))
  for (let p = 0; p < alpha.length; p++) {
    const [x, y] = [(p % frame.width) + 0.5, Math.floor(p / frame.width) + 0.5]
    if (x < 20 || x > 210 || y < 15 || y > 145) continue
    alpha[p] = 1
    factors.forEach((k, c) => {
      const [u, v] = [240 + (x - 240) / k, 135 + (y - 135) / k]
      let light = 0.1
      for (let i = 0; i < 6; i++)
        for (let j = 0; j < 4; j++) {
          const [a, b] = [30 + 30 * i, 25 + 30 * j]
          light +=
            (0.3 + 0.1 * ((i + j) % 3)) * step(u - a) * step(a + 17 - u) * step(v - b) * step(b + 17 - v)
        }
      rendered.data[4 * p + c] = light
    })
  }
  const seen = {
    frame: 0,
    plate: { region: frame },
    plateCode: emptyImage(frame),
    renderedCode: rendered,
    keep: new Float32Array(alpha.length),
  } as unknown as Seen
  return lookAtFringe(seen, { alpha, light: alpha, region } as unknown as SeenElement, { x: false, y: false })
}

it('is quiet where the element has the plate’s fringe, and tells one that has none', () => {
  const good = look([LENS[0], 1, LENS[1]])
  expect(compareFringe('card', [good], LENS)).toMatchObject({ verdicts: [], undecided: [] })
  const [v] = compareFringe('card', [look([1, 1, 1])], LENS).verdicts
  expect(v).toMatchObject({ tell: 'fringe', frames: [0], region })
  // (k − 1) ρ, ρ = |(115, 80) − (240, 135)| = 136.6 px.
  expect(v?.expected).toBeCloseTo(0.008 * 136.6, 2)
  expect(Math.abs(v?.measured as number)).toBeLessThan(0.15)
})

it('asks nothing where the plate’s own fringe would not be seen', () => {
  const at = (r: typeof region) => showsFringe(LENS, { region: r } as unknown as SeenElement, frame)
  expect(at(region)).toBe(true)
  expect(at({ x: 230, y: 125, width: 30, height: 20 })).toBe(false)
  expect(compareFringe('card', [], LENS)).toEqual({ verdicts: [], undecided: [], measured: {} })
})
