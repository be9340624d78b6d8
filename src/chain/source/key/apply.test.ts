import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, type Rgb, told, uniform } from '../../../core/index.js'
import { areasOf } from '../screen/areas.js'
import { ColourSearch, measureScreen, screenColourAt } from '../screen/measure.js'
import { plateRoots } from '../screen/model.js'
import { keyed } from './apply.js'

const W = 240
const H = 160
const GREEN: Rgb = [0.07, 0.42, 0.1]
const SKIN: Rgb = [0.46, 0.3, 0.22]

/** Normal by twelve uniform numbers less six. */
const normal = (x: number, y: number, c: number) =>
  Array.from({ length: 12 }, (_, k) => uniform(17, k, x, y, c)).reduce((a, b) => a + b, -6)

/** Light of the screen: falls off by 40 % to the right and is darker at the bottom. */
const wall = (x: number, y: number): Rgb => {
  const k = (1 - (0.4 * x) / W) * (1 - 0.15 * (y / H) ** 2)
  return [k * GREEN[0], k * GREEN[1], k * GREEN[2]]
}
const disc = (soft: number) => (x: number, y: number) =>
  Math.min(Math.max((45 - Math.hypot(x - 120, y - 80)) / soft + 0.5, 0), 1)

/** C = αF + (1−α)B [porter1984] with noise of σ 0.006 of √light, as a camera of 8 bits. */
function filmed(alpha: (x: number, y: number) => number, screen = wall): FloatImage {
  const image = emptyImage({ x: 0, y: 0, width: W, height: H })
  for (let y = 0; y < H; y++)
    for (let x = 0; x < W; x++) {
      const [a, b] = [alpha(x, y), screen(x, y)]
      const lit = 0.7 + 0.3 * Math.sin(x / 9)
      for (const c of [0, 1, 2] as const) {
        const light = a * lit * SKIN[c] + (1 - a) * b[c]
        image.data[4 * (y * W + x) + c] = (Math.sqrt(light) + 0.006 * normal(x, y, c)) ** 2
      }
      image.data[4 * (y * W + x) + 3] = 1
    }
  return image
}

function screenOf(light: FloatImage) {
  const search = new ColourSearch()
  search.add(light)
  const colour = search.found()
  if (!told(colour)) throw new Error(colour.cannotTell)
  const found = measureScreen(light, 0, colour.value)
  if (!told(found)) throw new Error(found.cannotTell)
  return found.value
}
const key = (light: FloatImage) => keyed(light, screenOf(light), { spill: 1 })
const alphaOf = (image: FloatImage, x: number, y: number) => image.data[4 * (y * W + x) + 3] as number

describe('the screen', () => {
  it('has its noise, and its colour at a place', () => {
    const light = filmed(disc(4))
    for (const v of screenOf(light).noise) expect(Math.abs(v / 0.006 - 1)).toBeLessThan(0.1)
    const at = screenColourAt(light, 20, 20)
    if (!told(at)) throw new Error(at.cannotTell)
    // 0.42 / (0.07 + 0.42 + 0.1)
    expect(at.value.g).toBeCloseTo(0.712, 1)
    expect(told(screenColourAt(light, 120, 80))).toBe(false)
  })

  it('cannot be told where there is none', () => {
    const light = filmed(() => 1)
    const search = new ColourSearch()
    search.add(light)
    expect(told(search.found())).toBe(false)
    expect(told(measureScreen(light, 0, { r: 0.1, g: 0.7 }))).toBe(false)
  })
})

describe('a key', () => {
  it.each([2, 8, 20])('of an edge of %i px is what was filmed, within 5 parts in 100 on the mean', (soft) => {
    const made = key(filmed(disc(soft)))
    let [off, n] = [0, 0]
    for (let y = 0; y < H; y++)
      for (let x = 0; x < W; x++) {
        const a = disc(soft)(x, y)
        if (a === 0 || a === 1) continue
        off += Math.abs(alphaOf(made, x, y) - a)
        n++
      }
    expect(off / n).toBeLessThan(0.05)
  })

  it('is 0 exactly on the screen and 1 exactly in the element, 4 px from its edge', () => {
    const made = key(filmed(disc(4)))
    for (let y = 0; y < H; y++)
      for (let x = 0; x < W; x++) {
        const from = 45 - Math.hypot(x - 120, y - 80)
        if (from < -8) expect(alphaOf(made, x, y)).toBe(0)
        if (from > 8) expect(alphaOf(made, x, y)).toBe(1)
      }
  })

  it('of the bare screen holds nothing', () => {
    const made = key(filmed(() => 0))
    expect(made.data.every((v) => v === 0)).toBe(true)
  })

  it('takes a shadow on the screen along', () => {
    const shadow = (x: number, y: number): Rgb => {
      const k = 1 - 0.4 * Math.exp(-((x - 190) ** 2 + (y - 120) ** 2) / 800)
      const [r, g, b] = wall(x, y)
      return [k * r, k * g, k * b]
    }
    const made = key(filmed(disc(4), shadow))
    for (let y = 90; y < 150; y++)
      for (let x = 175; x < 225; x++) expect(alphaOf(made, x, y)).toBeLessThan(0.02)
  })

  it('leaves no green at the edge, and the colour of skin', () => {
    const made = key(filmed(disc(8)))
    for (let p = 0; p < W * H; p++) {
      const a = made.data[4 * p + 3] as number
      if (a < 0.2) continue
      const [r, g] = [made.data[4 * p] as number, made.data[4 * p + 1] as number]
      expect(g / r).toBeLessThan(0.83)
    }
    const i = 4 * (80 * W + 120)
    expect((made.data[i + 1] as number) / (made.data[i] as number)).toBeCloseTo(SKIN[1] / SKIN[0], 1)
  })
})

describe('a clean plate', () => {
  // A grey wall with stripes of a third of its light: no colour, and nothing that six terms could say.
  const striped = (x: number, y: number): Rgb => {
    const k = (x >> 3) % 2 === 0 ? 0.4 : 0.28
    const lit = k * (1 - (0.3 * y) / H)
    return [lit, lit, 0.95 * lit]
  }
  const clean = plateRoots(filmed(() => 0, striped))
  const keyedBy = (light: FloatImage) => {
    const found = measureScreen(light, 0, clean)
    if (!told(found)) throw new Error(found.cannotTell)
    return keyed(light, found.value, { spill: 1, clean })
  }

  it('takes a striped wall without colour away: nothing stays of it, and the element stays whole', () => {
    const made = keyedBy(filmed(disc(2), striped))
    let [left, held] = [0, 0]
    for (let y = 0; y < H; y++)
      for (let x = 0; x < W; x++) {
        const from = 45 - Math.hypot(x - 120, y - 80)
        if (from < -12 && alphaOf(made, x, y) > 0) left++
        if (from > 12 && alphaOf(made, x, y) < 1) held++
      }
    expect([left, held]).toEqual([0, 0])
  })

  it('follows a lamp that became a tenth brighter', () => {
    const brighter = (x: number, y: number): Rgb => {
      const [r, g, b] = striped(x, y)
      return [1.1 * r, 1.1 * g, 1.1 * b]
    }
    const made = keyedBy(filmed(() => 0, brighter))
    expect(made.data.every((v) => v === 0)).toBe(true)
  })
})

describe('what a person drew', () => {
  it('is nothing outside and the element where it is covered', () => {
    const light = filmed(disc(4))
    const left = [
      [0, 0],
      [120, 0],
      [120, H],
      [0, H],
    ] as const
    const middle = [
      [200, 20],
      [220, 20],
      [220, 40],
      [200, 40],
    ] as const
    const areas = areasOf(light.region, [left], [middle])
    const made = keyed(light, screenOf(light), { spill: 1, areas })
    expect([alphaOf(made, 100, 80), alphaOf(made, 140, 80), alphaOf(made, 210, 30)]).toEqual([0, 1, 1])
  })
})
