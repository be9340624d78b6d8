import { describe, expect, it } from 'vitest'
import { emptyImage } from '../../../core/index.js'
import type { Seen, SeenElement } from '../../compare.js'
import { compareSkirt, lookAtSkirt } from './compare.js'

const frame = { x: 0, y: 0, width: 160, height: 120 }
const LENS = { share: 0.1, width: 5 }
const BODY = { x: 60, y: 40, width: 40, height: 40 }

/** A lamp of 12 × 12 px and of light 4, with the skirt of two Gaussians summed by hand; `done` is the share of it that the file shows. */
function look(done: number, taken: Parameters<typeof lookAtSkirt>[5] = []) {
  const [plate, rendered] = [emptyImage(frame), emptyImage(frame)]
  const light = new Float32Array(frame.width * frame.height)
  const along = (x: number, middle: number, sigma: number) => {
    let sum = 0
    for (let k = middle - 6; k < middle + 6; k++)
      sum += Math.exp(-((x - k) ** 2) / (2 * sigma ** 2)) / (sigma * Math.sqrt(2 * Math.PI))
    return sum
  }
  for (let p = 0; p < light.length; p++) {
    const [x, y] = [p % frame.width, Math.floor(p / frame.width)]
    const inside = x >= 74 && x < 86 && y >= 54 && y < 66
    const skirt = [5, 15].reduce((s, sigma) => s + (along(x, 80, sigma) * along(y, 60, sigma)) / 2, 0)
    light[p] = (inside ? 4 * (1 - 0.1 * done) : 0) + 4 * 0.1 * done * skirt
    for (let c = 0; c < 3; c++) {
      plate.data[4 * p + c] = 0.05
      rendered.data[4 * p + c] = 0.05 + (light[p] as number)
    }
  }
  const keep = new Float32Array(light.length).fill(1)
  const seen = { frame: 1, plate, rendered, keep } as unknown as Seen
  return lookAtSkirt(seen, { light } as unknown as SeenElement, BODY, LENS, 0.1 * done, taken)
}

describe('the skirt around what shines', () => {
  it('is found as it was summed, and is quiet', () => {
    const l = look(1)
    // The skirt over its own body counts as what shines: a share of a tenth too much.
    expect(Math.abs((l?.seen as number) / (l?.lens as number) - 1 / 1.1)).toBeLessThan(0.02)
    expect(compareSkirt('lamp', [l], undefined).verdicts).toEqual([])
  })

  it('is told where it lacks', () => {
    const [v] = compareSkirt('lamp', [look(0)], undefined).verdicts
    expect(v).toMatchObject({ tell: 'no-skirt', frames: [1] })
    expect(v?.measured).toBeCloseTo(0, 6)
    expect(v?.sentence).toMatch(/rises by 0\.0 %/)
  })

  it('is not looked for where something else lies, nor told where nothing is known of the lens', () => {
    expect(look(0, [frame])).toBeUndefined()
    expect(compareSkirt('lamp', [], 'no clipped light').undecided[0]?.tell).toBe('no-skirt')
  })
})
