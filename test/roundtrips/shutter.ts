/** A shutter open by 90° to 350° before a photograph that moves by: streaks of 20 to 36 px, in any direction. */
import { measureAngle } from '../../src/chain/shutter/angle/measure.js'
import { uniform } from '../../src/core/index.js'
import { cropImage, type StreakMap, streak, streakMap } from '../../src/kernels/index.js'
import { normal } from '../worlds/chance.js'
import { filmed, luminance } from './film.js'
import { mirrored, type Photograph } from './photographs.js'
import type { Trip } from './row.js'

/** Degrees. */
export const SHUTTER_LIMIT = 10
/** Error of the motion that is measured besides, px a frame. */
const MOTION = 0.15

export function shutterTrip(pictures: readonly Photograph[], draw: number): Trip {
  const chance = (k: number) => uniform(13, draw, k, 0, 0)
  const { image } = pictures[Math.floor(chance(0) * pictures.length)] as Photograph
  const length = 20 * 1.8 ** chance(1)
  const truth = 90 + 260 * chance(2)
  const turn = 2 * Math.PI * chance(3)
  const way = [Math.cos(turn), Math.sin(turn)] as const
  const { region } = image
  const [x, y] = [(length * way[0]) / 2, (length * way[1]) / 2]
  const map = streakMap(region, 32, (_x, _y, out) => out.set([-x, -y, x, y])) as StreakMap
  const blurred = cropImage(streak(mirrored(image, 24), map, region), region)
  const values = luminance(filmed(blurred, 3000 + draw))
  const v = (360 * length) / truth + MOTION * normal(5, draw, 1)
  const moving = { x: v * way[0], y: v * way[1], spread: MOTION }
  return { truth, reading: measureAngle({ ...region, values }, moving, 0, region) }
}
