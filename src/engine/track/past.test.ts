import { expect, it } from 'vitest'
import type { Matrix3 } from '../../chain/place/motion/matrix.js'
import { openVision, type Place } from '../../vision/index.js'
import type { Ask } from './follower.js'
import type { Luma } from './luma.js'
import { lookAt, newMark } from './mark.js'
import { Past } from './past.js'

const [WIDTH, HEIGHT] = [200, 120]
/** px that the wall goes by between both frames, and what stands before its lower half. */
const WALL = 3
const NEARER = 6

/** Uneven in all directions, without a repeat within the picture. */
const grain = (x: number, y: number) =>
  128 +
  40 * Math.sin(0.41 * x + 0.23 * y) +
  30 * Math.sin(0.37 * y - 0.19 * x + 1) +
  25 * Math.sin(0.29 * x + 0.53 * y + 2)

function seen(wall: number, nearer: number): Luma {
  const data = new Uint8Array(WIDTH * HEIGHT)
  for (let y = 0; y < HEIGHT; y++)
    for (let x = 0; x < WIDTH; x++) data[y * WIDTH + x] = grain(x - (y < HEIGHT / 2 ? wall : nearer), y)
  return { width: WIDTH, height: HEIGHT, data, step: 1 }
}

const shift = (dx: number): Matrix3 => [1, 0, dx, 0, 1, 0, 0, 0, 1]
const at: readonly Place[] = [30, 60, 90, 120, 150].flatMap((x): Place[] => [
  [x, 25],
  [x, 95],
])

async function kept(before: Luma, least: number): Promise<number[]> {
  const straight = (p: Place) => p
  const ask: Ask = {
    ...{ vision: await openVision(), lens: { straight, filmed: straight }, noise: 1 },
    ...{ reference: 0, corrections: [] },
  }
  const now = seen(WALL, NEARER)
  const marks = at.map(([x, y]) => newMark([x - WALL, y], lookAt(now, 6, [x, y], 21)))
  const past = new Past()
  past.keep(before, 0, shift(0))
  return past.borneOut(ask, marks, shift(WALL), 0.8, least).map((m) => m.look.at[1])
}

it('a mark on what goes otherwise than the plane is none of it', async () => {
  expect(await kept(seen(0, 0), 3)).toEqual([25, 25, 25, 25, 25])
})

it('what was not seen before counts only where too few were', async () => {
  const covered = seen(0, 0)
  for (let i = (WIDTH * HEIGHT) / 2; i < WIDTH * HEIGHT; i++) covered.data[i] = 128
  expect(await kept(covered, 3)).toEqual([25, 25, 25, 25, 25])
  expect((await kept(covered, 6)).filter((y) => y === 95)).toHaveLength(5)
})
