/** Against a turn and a growth that pictures are painted with. */
import { expect, it } from 'vitest'
import { featuresOf, paired } from './features.js'
import { homographyOf } from './motion.js'
import { type Grey, openVision, type Place } from './vision.js'

/** Discs of many sizes and greys, carried by (x, y) → (a·x − b·y + c, b·x + a·y + d). */
function discs([a, b, c, d]: readonly [number, number, number, number]): Grey {
  const [width, height, size] = [320, 240, a * a + b * b]
  const data = new Uint8Array(width * height)
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const [p, q] = [x + 0.5 - c, y + 0.5 - d]
      const [u, v] = [(a * p + b * q) / size, (a * q - b * p) / size]
      let grey = 90
      for (let k = 0; k < 60; k++) {
        const [cx, cy, r] = [(k * 137.5) % 320, (k * 89.3) % 240, 4 + ((k * 7) % 11)]
        if ((u - cx) ** 2 + (v - cy) ** 2 < r * r) grey = 20 + ((k * 53) % 220)
      }
      data[y * width + x] = grey
    }
  }
  return { width, height, data }
}

it('pairs what is turned by 20° and 1.3 times as large', async () => {
  const vision = await openVision()
  const angle = Math.PI / 9
  const moved = [1.3 * Math.cos(angle), 1.3 * Math.sin(angle), -20, -90] as const
  const [one, two] = [discs([1, 0, 0, 0]), discs(moved)].map((p) => featuresOf(vision, p, 500))
  const { from, to } = paired(vision, one!, two!)
  const { matrix, agree } = homographyOf(vision, from, to, 2)!
  expect(agree.filter(Boolean).length).toBeGreaterThan(15)
  const [a, b, c, d] = moved
  for (const [x, y] of [
    [120, 90],
    [200, 90],
    [200, 160],
    [120, 160],
  ] as Place[]) {
    const w = matrix[6] * x + matrix[7] * y + 1
    const [u, v] = [
      (matrix[0] * x + matrix[1] * y + matrix[2]) / w,
      (matrix[3] * x + matrix[4] * y + matrix[5]) / w,
    ]
    expect(Math.hypot(u - (a * x - b * y + c), v - (b * x + a * y + d))).toBeLessThan(2)
  }
})

it('takes no more than asked, the strongest, within, and pairs none where there are none', async () => {
  const vision = await openVision()
  const picture = discs([1, 0, 0, 0])
  const left = featuresOf(vision, picture, 20, ([x]) => x < 160)
  expect(left.places).toHaveLength(20)
  expect(left.places.every(([x]) => x < 160)).toBe(true)
  const flat = featuresOf(vision, { ...picture, data: new Uint8Array(320 * 240).fill(80) }, 20)
  expect(flat.places).toEqual([])
  expect(paired(vision, left, flat)).toEqual({ from: [], to: [] })
})
