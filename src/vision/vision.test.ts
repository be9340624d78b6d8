/** Against shifts and matrices that pictures are painted with, and published values. */
import { beforeAll, expect, it } from 'vitest'
import { align } from './align.js'
import { corners } from './corners.js'
import { followBoth } from './flow.js'
import { search } from './match.js'
import { homographyOf, shifted } from './motion.js'
import { type Grey, openVision, type Place, scoped, type Vision } from './vision.js'

let vision: Vision
beforeAll(async () => {
  vision = await openVision()
})

/** Waves without a common period, moved by (dx, dy): what lies at p in the first lies at p + d in the second. */
function waves(dx: number, dy: number, width = 160, height = 120): Grey {
  const data = new Uint8Array(width * height)
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const [u, v] = [x + 0.5 - dx, y + 0.5 - dy]
      const sum =
        Math.sin(0.31 * u + 0.17 * v) +
        Math.sin(0.13 * u - 0.41 * v + 1) +
        Math.sin(0.53 * u + 0.29 * v + 2) +
        Math.sin(0.07 * u * 0.9 + 0.61 * v)
      data[y * width + x] = Math.round(128 + 30 * sum)
    }
  }
  return { width, height, data }
}

it('finds a shift to a few hundredths of a pixel, there and back', () => {
  // The shift of the worked example of [lucas1981] as run with another build of the library: .37, −1.62.
  const [a, b] = [waves(0, 0), waves(0.37, -1.62)]
  const places = corners(vision, a, { most: 40, distance: 8, quality: 0.01 }).filter(
    ([x, y]) => x > 20 && y > 20 && x < 140 && y < 100,
  )
  expect(places.length).toBeGreaterThan(10)
  for (const [i, { at, back }] of followBoth(vision, a, b, places, places, {
    window: 21,
    levels: 2,
  }).entries()) {
    const [x, y] = places[i] as Place
    expect(at[0] - x).toBeCloseTo(0.37, 1)
    expect(at[1] - y).toBeCloseTo(-1.62, 1)
    expect(back).toBeLessThan(0.05)
  }
})

it("puts a corner's place in the middle of its pixel", () => {
  const data = new Uint8Array(64 * 64).fill(20)
  for (let y = 30; y < 64; y++) for (let x = 30; x < 64; x++) data[y * 64 + x] = 220
  const [first] = corners(vision, { width: 64, height: 64, data }, { most: 1, distance: 3, quality: 0.1 })
  // The square's corner is the crossing of whole lines 30 and 30.
  expect(Math.abs((first as Place)[0] - 30)).toBeLessThanOrEqual(2)
  expect((first as Place)[0] % 1).toBe(0.5)
})

it('gives the matrix of four corners, with places by edges', () => {
  // [opencv, getPerspectiveTransform] of these four corners; the middle goes to (931.2139, 543.5333).
  const from: Place[] = [
    [0, 0],
    [1920, 0],
    [1920, 1080],
    [0, 1080],
  ]
  const to: Place[] = [
    [100, 50],
    [1800, 120],
    [1700, 1000],
    [200, 900],
  ]
  const found = homographyOf(vision, from, to, 1)
  const want = [0.839599, 0.11668059, 100, 0.03340382, 0.89543303, 50, -2.545e-5, 1.2044e-4, 1]
  found?.matrix.forEach((v, i) => {
    expect(v).toBeCloseTo(want[i] as number, i > 5 ? 6 : i % 3 === 2 ? 2 : 4)
  })
})

it('forgets wrong pairs, the same every time', () => {
  const from: Place[] = Array.from({ length: 120 }, (_, i) => [(i * 97) % 640, (i * 61) % 360])
  const to = from.map(
    ([x, y], i): Place => (i % 3 === 0 ? [(i * 31) % 640, (i * 17) % 360] : [x + 4.5, y - 2.25]),
  )
  const [one, two] = [homographyOf(vision, from, to, 1), homographyOf(vision, from, to, 1)]
  expect(one).toEqual(two)
  expect(one?.agree.filter((a, i) => a && i % 3 !== 0).length).toBe(80)
  expect(one?.matrix[2]).toBeCloseTo(4.5, 3)
})

it('shifts matrices from centres to edges', () => {
  // Twice as large about the first pixel's centre: its edge goes to −0.5.
  expect(shifted([2, 0, 0, 0, 2, 0, 0, 0, 1])).toEqual([2, 0, -0.5, 0, 2, -0.5, 0, 0, 1])
})

it('aligns and searches', () => {
  const [a, b] = [waves(0, 0, 40, 40), waves(1.4, -0.8, 40, 40)]
  const found = align(vision, a, b, [1, 0, 0, 0, 1, 0, 0, 0, 1])
  expect(found?.matrix[2]).toBeCloseTo(1.4, 1)
  expect(found?.matrix[5]).toBeCloseTo(-0.8, 1)
  const part = {
    width: 20,
    height: 20,
    data: Uint8Array.from(
      { length: 400 },
      (_, i) => a.data[(Math.floor(i / 20) + 9) * 40 + (i % 20) + 7] as number,
    ),
  }
  expect(search(vision, part, a)).toMatchObject({ at: [7, 9] })
})

it('says that nothing aligns, and hides no other fault', () => {
  const even = (v: number) => ({ width: 20, height: 20, data: new Uint8Array(400).fill(v) })
  expect(align(vision, even(7), even(9), [1, 0, 0, 0, 1, 0, 0, 0, 1])).toBeUndefined()
  // Without a picture there is nothing that could fail to converge.
  const none = { width: 0, height: 0, data: new Uint8Array(0) }
  expect(() => align(vision, even(7), none, [1, 0, 0, 0, 1, 0, 0, 0, 1])).toThrow(/refused/)
})

it('frees what it held, also when the work throws', () => {
  const freed: number[] = []
  const work = () =>
    scoped((keep) => {
      keep({ delete: () => freed.push(1) })
      keep({ delete: () => freed.push(2) })
      throw new Error('stop')
    })
  expect(work).toThrow('stop')
  expect(freed).toEqual([2, 1])
})

it("does not grow over a thousand frames of the library's work", () => {
  const [a, b] = [waves(0, 0), waves(0.3, 0.2)]
  const places = corners(vision, a, { most: 40, distance: 8, quality: 0.01 })
  const held = () => vision.use((cv) => (cv as unknown as { HEAPU8: Uint8Array }).HEAPU8.length)
  const before = held()
  for (let i = 0; i < 1000; i++) followBoth(vision, a, b, places, places, { window: 15, levels: 1 })
  expect(held()).toBe(before)
})
