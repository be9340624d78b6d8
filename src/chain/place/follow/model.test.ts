import { describe, expect, it } from 'vitest'
import { isCarried, placed } from '../raster/map.js'
import { followed, type Way } from './model.js'
import { knownAt, type Track } from './track.js'

const frame = (n: number, matrix: readonly number[], nodes?: number[]) => ({
  frame: n,
  state: 'tracked',
  matrix,
  ...(nodes ? { nodes } : {}),
})
/** Turned by a right angle to the right about (100, 50) and twice as large, moved by (n, 0): x′ = 100 + n − 2(y − 50), y′ = 50 + 2(x − 100). */
const turned = (n: number) => frame(n, [0, -2, 200 + n, 2, 0, -150, 0, 0, 1])
const turn: Track = { motion: 'similarity', frames: [0, 1, 2, 3].map(turned) }
const slide: Track = {
  motion: 'translation',
  frames: [0, 1, 2, 3].map((n) => frame(n, [1, 0, 10 * n, 0, 1, -5 * n, 0, 0, 1])),
}
/** A 40 × 20 picture at half its size, its middle on (110, 60). */
const standing = { scaleX: 0.5, scaleY: 0.5, originX: 100, originY: 55 }
const size = [40, 20] as const
const corner = (way: Way, n: number, start = 0) => {
  const { map, zoom } = followed(standing, way, n, start, size)
  return { middle: placed(map, 20, 10), corner: placed(map, 0, 0), zoom, carried: isCarried(map) }
}

describe('what goes with a track', () => {
  it('takes of it what is asked for, by hand', () => {
    // The middle goes to (100 + 3 − 20, 50 + 20); the corner, (−10, −5) from it, to (+10, −20) from there in all.
    const all = { middle: [83, 70], corner: [93, 50], zoom: 2, carried: true }
    expect(corner({ track: turn, take: 'all' }, 3)).toEqual(all)
    expect(corner({ track: turn, take: 'turn' }, 3)).toEqual(all)
    expect(corner({ track: turn, take: 'size' }, 3)).toEqual({ ...all, corner: [63, 60], carried: false })
    expect(corner({ track: turn, take: 'place' }, 3)).toEqual({
      ...all,
      corner: [73, 65],
      zoom: 1,
      carried: false,
    })
  })

  it('is drawn the straight way where the track only slides', () => {
    expect(corner({ track: slide, take: 'all' }, 2)).toEqual({
      middle: [130, 50],
      corner: [120, 45],
      zoom: 1,
      carried: false,
    })
  })

  it('held from its start stays there, or goes with another track', () => {
    const held = { track: slide, take: 'all', hold: { after: undefined } } as const
    for (const n of [1, 2, 3]) expect(corner(held, n, 1).middle).toEqual([120, 55])
    // The track's place on frame 1, and from there what the other does: twice (0, 0) → (1, 0) a frame.
    const after = { ...held, hold: { after: turn } }
    expect(corner(after, 1, 1).middle).toEqual([120, 55])
    expect(corner(after, 3, 1).middle).toEqual([122, 55])
  })

  it('stays where it was last known', () => {
    expect(knownAt(slide, 99).frame).toBe(3)
    expect(knownAt({ ...slide, frames: slide.frames.slice(2) }, 0).frame).toBe(2)
    expect(knownAt({ ...slide, frames: slide.frames.filter((f) => f.frame !== 2) }, 2).frame).toBe(1)
  })

  it('bends with a mesh of the reference frame, carried on by another track too', () => {
    const mesh = { x: 90, y: 40, width: 40, height: 40, columns: 2, rows: 2 }
    const nodes = [0, 0, 4, 0, 0, 8, 4, 8]
    const cloth: Track = { motion: 'mesh', mesh, frames: [frame(0, [1, 0, 5, 0, 1, 0, 0, 0, 1], nodes)] }
    // (110, 60) is the middle of the mesh: half of 4 across, half of 8 down. The corner (100, 55): a quarter, three eighths.
    const bent = corner({ track: cloth, take: 'all' }, 0)
    expect(bent).toEqual({ middle: [117, 64], corner: [106, 58], zoom: 1, carried: true })
    expect(corner({ track: cloth, take: 'place' }, 0)).toEqual({
      middle: [117, 64],
      corner: [107, 59],
      zoom: 1,
      carried: false,
    })
    const on = corner({ track: cloth, take: 'all', hold: { after: slide } }, 3, 1)
    expect(on.middle).toEqual([137, 54])
    expect(on.corner).toEqual([126, 48])
  })
})
