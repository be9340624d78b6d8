import { describe, expect, it } from 'vitest'
import { allocateFrame, type FloatImage, type Region } from '../../../core/index.js'
import { applyHoldout, type Hidden, hiddenShare, smoothShare } from './apply.js'
import { depthHide, distancesOf } from './depth.js'
import { refuseNoDepth } from './depthCheck.js'
import { luminanceHide } from './luminance.js'
import { matteHide } from './matte.js'

const rgb = (bits: number, float = false, alpha = false) =>
  ({ family: 'rgb', bits, float, subX: 0, subY: 0, alpha }) as const

function picture(bits: number, values: readonly number[], float = false, height = 1) {
  const frame = allocateFrame(rgb(bits, float), values.length / height, height)
  values.forEach((v, i) => {
    frame.planes[0]!.data[i] = v
  })
  return frame
}

const row = (x: number, width: number): Region => ({ x, y: 0, width, height: 1 })
const strip = (x: number, width: number): FloatImage => ({
  region: row(x, width),
  data: Float32Array.from(Array.from({ length: width }, () => [0.4, 0.2, 0.1, 0.5]).flat()),
})

describe('holdout', () => {
  // Porter & Duff 1984, A out B: A · (1 − αB), colour and alpha alike.
  it('is the out operator', () => {
    for (const m of [
      picture(8, [0, 51, 255]),
      picture(16, [0, 13107, 65535]),
      picture(32, [0, 0.2, 1], true),
    ]) {
      const image = strip(0, 3)
      applyHoldout(image, matteHide(m)(row(0, 3)) as Hidden)
      const want = [0.4, 0.2, 0.1, 0.5, 0.32, 0.16, 0.08, 0.4, 0, 0, 0, 0]
      want.forEach((v, i) => {
        expect(image.data[i]).toBeCloseTo(v, 6)
      })
    }
  })

  it('lies where the frame says, also under a part of it', () => {
    const image = strip(2, 2)
    applyHoldout(image, matteHide(picture(8, [255, 255, 0, 255, 0]))(row(0, 9)) as Hidden)
    expect(image.data[3]).toBe(0.5)
    expect(image.data[7]).toBe(0)
  })

  it('never takes more than all or gives more than there is', () => {
    const image = strip(0, 2)
    applyHoldout(image, matteHide(picture(32, [-3, 7], true))(row(0, 2)) as Hidden)
    expect(image.data[3]).toBe(0.5)
    expect(image.data[7]).toBe(0)
  })

  it('of several hides what any of them hides: 1 − Π (1 − h)', () => {
    const hides = [matteHide(picture(32, [0.5, 0, 1], true)), matteHide(picture(32, [0.5, 0.25, 0], true))]
    expect([...hiddenShare(hides, row(0, 3))]).toEqual([0.75, 0.25, 1])
    expect([...hiddenShare([() => undefined], row(0, 2))]).toEqual([0, 0])
  })
})

describe('a matte', () => {
  const two = (first: number[], alpha: number[]) => {
    const frame = allocateFrame(rgb(8, false, true), first.length, 1)
    first.forEach((v, i) => {
      frame.planes[0]!.data[i] = v
    })
    alpha.forEach((v, i) => {
      frame.planes[3]!.data[i] = v
    })
    return frame
  }

  it('with another picture in its alpha is refused, for nobody knows which is meant', () => {
    expect(() => matteHide(two([255, 255], [0, 255]))).toThrow(/alpha/)
  })

  it('whose alpha is whole or says the same is taken', () => {
    expect([...matteHide(two([0, 255], [255, 255]))(row(0, 2))!.share]).toEqual([0, 1])
    expect([...matteHide(two([0, 255], [0, 255]))(row(0, 2))!.share]).toEqual([0, 1])
  })
})

describe('the ramp', () => {
  it('goes from none to full, either way, and takes no number for nothing', () => {
    expect([0, 1, 1.5, 2, 3, Number.NaN].map((v) => smoothShare(v, 1, 2))).toEqual([0, 0, 0.5, 1, 1, 0])
    expect([0, 0.5, 0.75, 1].map((v) => smoothShare(v, 1, 0.5))).toEqual([1, 1, 0.5, 0])
    // s = 1/4: 1/16 · (3 − 1/2).
    expect(smoothShare(1.25, 1, 2)).toBe(0.15625)
  })
})

describe('the plate’s light', () => {
  it('hides by its luminance', () => {
    const light = (region: Region) => ({ region, data: Float32Array.of(1, 1, 1, 1, 0, 2, 0, 1, 9, 0, 0, 1) })
    const hide = luminanceHide(light, [0.25, 0.5, 0.25], { none: 0.5, full: 1.5 })
    const { share } = hide(row(0, 3))!
    expect([...share]).toEqual([0.5, 0.5, 1])
  })
})

describe('a depth map', () => {
  const plate = { width: 4, height: 2 }
  const whole = { x: 0, y: 0, ...plate }
  const share = (
    map: Parameters<typeof depthHide>[0],
    scale: Parameters<typeof depthHide>[1],
    metres: number,
  ) => [...depthHide(map, scale, metres, plate)(whole)!.share]

  it('hides by what is nearer, in metres or by its inverse, and by nothing where it does not know', () => {
    const metres = picture(32, [2, 5, 10, 0, 4.9, 5.1, Number.NaN, -3], true, 2)
    const [a, b, ...rest] = share(metres, { unit: 'metres', a: 1, b: 0 }, 5)
    expect([a, b]).toEqual([1, 0.5])
    expect(rest.map((v) => Math.round(100 * v) / 100)).toEqual([0, 0, 1, 0, 0, 0])
    // Disparity: 1/d = v / 20.
    const inverse = picture(32, [10, 4, 2, 0, 4, 4, Number.NaN, -3], true, 2)
    expect(share(inverse, { unit: 'inverse', a: 0.05, b: 0 }, 5)).toEqual([1, 0.5, 0, 0, 0.5, 0.5, 0, 0])
  })

  it('of codes is read as shares of full code', () => {
    // 51 of 255 is 0.2: 0.2 · 10 + 1 = 3 m, before 3.2 m.
    expect(share(picture(8, Array(8).fill(51), false, 2), { unit: 'metres', a: 10, b: 1 }, 3.2)).toEqual(
      Array(8).fill(1),
    )
  })

  it('of another size lies over the whole plate, and makes up no distance between two things', () => {
    // 1 m and 9 m: the mean would be before 6 m everywhere.
    const got = share(picture(32, [1, 9], true), { unit: 'metres', a: 1, b: 0 }, 3)
    expect(got).toEqual([1, 0.75, 0.25, 0, 1, 0.75, 0.25, 0])
  })

  it('of another size gives distances that run straight over a surface in 1/d, and jump where a thing ends', () => {
    const scale = { unit: 'metres', a: 1, b: 0 } as const
    const over = (values: number[]) => {
      const { at } = distancesOf(picture(32, values, true), scale, { width: 8, height: 1 })
      return Array.from({ length: 8 }, (_, x) => at(x, 0))
    }
    // Two values lie at 2 and 6 of 8 pixels: 1/d = 0.25 and 0.23.
    const floor = over([1 / 0.25, 1 / 0.23])
    for (let x = 2; x < 6; x++) expect(1 / (floor[x] as number)).toBeCloseTo(0.25 - (0.02 * (x - 1.5)) / 4, 7)
    expect([floor[0], floor[7]].map((d) => 1 / (d as number))).toEqual([
      expect.closeTo(0.25, 6),
      expect.closeTo(0.23, 6),
    ])
    expect(over([2, 9])).toEqual([2, 2, 2, 2, 9, 9, 9, 9])
    expect(over([2, 0])).toEqual([2, 2, 2, 2, 0, 0, 0, 0])
  })

  it('that says no distance is refused in words', () => {
    const refused = (values: number[], unit: 'metres' | 'inverse' = 'metres') => {
      try {
        refuseNoDepth([picture(32, values, true)], { unit, a: 1, b: 0 }, 'site.depth')
        return ''
      } catch (error) {
        return String(error)
      }
    }
    expect(refused([2, 5, 0, Number.NaN])).toBe('')
    expect(refused([0.5, 0], 'inverse')).toBe('')
    // What rings a little below 0 beside a far sky.
    expect(refused([...Array(20).fill(0.5), 0, 0, -0.001], 'inverse')).toBe('')
    expect(refused([0, Number.NaN])).toMatch(/no distance anywhere.*values from 0 to 0.*unit "metres"/)
    expect(refused([Number.NaN, Number.NaN])).toMatch(/no numbers/)
    expect(refused([-4, -2, 3])).toMatch(/below 0.*67 %.*Set a below 0/)
    expect(refused([3, 3, 0])).toMatch(/same distance everywhere.*3 m all over/)
    expect(refused([0, 0], 'inverse')).toMatch(/same distance everywhere/)
  })

  it('has the same bytes in a part', () => {
    const map = picture(32, [1, 9, 4, 2, 3, 8], true, 2)
    const hide = depthHide(map, { unit: 'metres', a: 1, b: 0 }, 3.01, { width: 31, height: 17 })
    const all = hide({ x: 0, y: 0, width: 31, height: 17 })!.share
    const part = hide({ x: 7, y: 5, width: 9, height: 4 })!.share
    for (let y = 0; y < 4; y++)
      for (let x = 0; x < 9; x++) expect(part[y * 9 + x]).toBe(all[(y + 5) * 31 + x + 7])
  })
})
