import { expect, test } from 'vitest'
import { channel, detail, difference, distance, shrink } from './pictures.js'
import { inside, type Sought, tellingPlace } from './place.js'
import type { Picture } from './types.js'

function painted(width: number, height: number, f: (x: number, y: number) => readonly number[]): Picture {
  const rgb = Uint8Array.from({ length: 3 * width * height }, (_, i) => {
    const p = Math.floor(i / 3)
    return f(p % width, Math.floor(p / width))[i % 3]!
  })
  return { width, height, rgb }
}

test('shrinking keeps the mean and leaves a flat picture flat, at odd sizes too', () => {
  const flat = shrink(
    painted(13, 7, () => [10, 20, 30]),
    5,
    3,
  )
  expect([flat.width, flat.height]).toEqual([5, 3])
  for (let i = 0; i < flat.rgb.length; i++) expect(flat.rgb[i]).toBe([10, 20, 30][i % 3])
  const board = shrink(
    painted(8, 8, (x, y) => ((x + y) % 2 ? [200, 200, 200] : [100, 100, 100])),
    4,
    4,
  )
  expect(new Set(board.rgb)).toEqual(new Set([150]))
})

test('one pixel, and a picture that already fits, stay as they are', () => {
  const one = painted(1, 1, () => [1, 2, 3])
  expect(shrink(one, 10, 10)).toBe(one)
})

test('a channel alone is grey', () => {
  expect([
    ...channel(
      painted(1, 1, () => [1, 2, 3]),
      1,
    ).rgb,
  ]).toEqual([2, 2, 2])
})

test('a difference is grey where both agree, eight times what it is elsewhere, and clipped', () => {
  const a = painted(1, 1, () => [100, 110, 250])
  const b = painted(1, 1, () => [100, 100, 0])
  expect([...difference(a, b, 8).rgb]).toEqual([128, 208, 255])
  expect([...difference(b, a, 8).rgb]).toEqual([128, 48, 0])
  expect(distance(a, b)).toBeCloseTo(260 / 3)
})

test('the telling place is where an edge of the change lies, not in its flat middle', () => {
  const region = { x: 100, y: 50, width: 320, height: 160 }
  const plate = painted(320, 160, () => [60, 60, 60])
  const result = painted(320, 160, (x) => (x > 200 ? [20, 20, 20] : [60, 60, 60]))
  const place = tellingPlace(result, plate, region, 64, 48, 'dark')
  expect(Math.abs(place.x + 32 - 300)).toBeLessThanOrEqual(8)
  expect([place.width, place.height]).toEqual([64, 48])
})

test('for lifted blacks, dark surroundings win over bright ones', () => {
  const region = { x: 0, y: 0, width: 320, height: 160 }
  const ground = (y: number) => (y < 80 ? 220 : 70)
  const plate = painted(320, 160, (_, y) => [ground(y), ground(y), ground(y)])
  const result = painted(320, 160, (x, y) => (x > 160 ? [10, 10, 10] : [ground(y), ground(y), ground(y)]))
  const centre = (sought: Sought) => tellingPlace(result, plate, region, 64, 48, sought).y + 24
  expect(centre('dark')).toBeGreaterThan(80)
  expect(centre('uneven')).toBeLessThan(80)
})

test('grain is looked for in the flat middle of the change, not at its edge', () => {
  const region = { x: 0, y: 0, width: 320, height: 160 }
  const plate = painted(320, 160, (x) => (x < 80 ? [(x % 16) * 12, 60, 60] : [60, 60, 60]))
  const result = painted(320, 160, (x) => (x < 240 ? [120, 120, 120] : [60, 60, 60]))
  const { x, width } = tellingPlace(result, plate, region, 64, 48, 'flat')
  expect(x).toBeGreaterThanOrEqual(72)
  expect(x + width).toBeLessThanOrEqual(248)
})

test('detail is what leaves the mean around it: a ramp is grey, a speck stands out', () => {
  const ramp = detail(
    painted(40, 40, (x) => [2 * x, 2 * x, 2 * x]),
    6,
  )
  expect([...ramp.rgb.subarray(3 * (20 * 40 + 20), 3 * (20 * 40 + 20) + 3)]).toEqual([128, 128, 128])
  const speck = detail(
    painted(40, 40, (x, y) => (x === 20 && y === 20 ? [100, 91, 91] : [91, 91, 91])),
    6,
  )
  // The window's mean rises by 9/81.
  expect(speck.rgb[3 * (20 * 40 + 20)]).toBe(Math.floor(128 + 6 * (9 - 9 / 81)))
  expect(speck.rgb[3 * (20 * 40 + 20) + 1]).toBe(128)
})

test('nothing changed: the middle of the region; regions smaller than the window; windows move into the frame', () => {
  const same = painted(160, 160, () => [9, 9, 9])
  const region = { x: 0, y: 0, width: 160, height: 160 }
  expect(tellingPlace(same, same, region, 32, 32, 'dark')).toEqual({ x: 64, y: 64, width: 32, height: 32 })
  const tiny = painted(3, 3, () => [9, 9, 9])
  const place = tellingPlace(tiny, tiny, { x: 0, y: 0, width: 3, height: 3 }, 32, 32, 'dark')
  expect(inside(place, 100, 20)).toEqual({ x: 0, y: 0, width: 32, height: 20 })
})
