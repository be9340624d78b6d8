/** Moves, and what a camera does to them. The limits are those that the place link is asked to keep. */
import { type Course, move } from './moves.js'
import type { Shot } from './plate.js'
import type { Surface } from './texture.js'

export interface Case {
  readonly name: string
  readonly shot: Shot
  /** Root mean square error, px. */
  readonly limit: number
}

/** Error of the mean over the last ten frames, px. */
export const DRIFT = 0.5
const CLEAN = 0.1
/** At a noise of 3 of 255. */
const NOISY = 0.3

export const SIZE = { width: 480, height: 270 } as const

/** Within it lies what `region` follows. */
export const REGION = [
  [160, 80],
  [330, 85],
  [325, 200],
  [155, 195],
] as const
export const POINTS = [
  [190, 110],
  [290, 170],
] as const

export function cases(surfaces: Readonly<Record<string, Surface>>): Case[] {
  return Object.entries(surfaces).flatMap(([name, surface]) => {
    const one = (
      what: string,
      course: Course,
      more: Partial<Shot> = {},
      limit = CLEAN,
      frames = 40,
    ): Case => {
      const motion = move(SIZE.width, SIZE.height, frames, course)
      return { name: `${what}-${name}`, limit, shot: { ...SIZE, frames, surface, motion, ...more } }
    }
    return [
      one('translation', { pan: [1.3, -0.7], unrest: 4 }),
      one('zoom', { zoom: 1.4, unrest: 3 }),
      one('roll', { roll: 20, unrest: 3 }),
      one('perspective', { tilt: [5e-4, -4e-4], unrest: 3 }),
      ...[1, 2, 3].map((noise) =>
        one(`noise-${noise}`, { zoom: 1.2, unrest: 3 }, { noise }, CLEAN + ((NOISY - CLEAN) * noise) / 3),
      ),
      one('blur', { unrest: 6 }, { shutter: 0.5 }),
      one('exposure', { pan: [0.8, 0], unrest: 3 }, { stops: (f) => Math.sin(f / 6) }),
      one(
        'occlusion',
        { unrest: 3 },
        { before: (f) => (f >= 10 && f < 30 ? { x: 150 + f, width: 70 } : undefined) },
      ),
      one('long', { zoom: 1.3, roll: 5, unrest: 5 }, { noise: 1 }, CLEAN + (NOISY - CLEAN) / 3, 300),
    ]
  })
}
