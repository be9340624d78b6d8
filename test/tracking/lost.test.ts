/** A plane that is wholly hidden, or out of the picture, while the camera goes elsewhere: found again by features, against truth. */
import { describe, expect, it } from 'vitest'
import { allocateFrame, type NativeFrame } from '../../src/core/index.js'
import { followTracks } from '../../src/engine/track/follow.js'
import { solveTrack } from '../../src/engine/track/solve.js'
import type { Source } from '../../src/media/index.js'
import { at, inverted, type Motion, plateOf } from './plate.js'
import { STRAIGHT } from './score.js'
import { chance, cobbles, plaster } from './texture.js'

const SIZE = { width: 480, height: 270 }
const PLANE = [
  [60, 60],
  [190, 60],
  [190, 190],
  [60, 190],
] as const
/** Frames on which it is not seen, and frames after it. */
const [GOES, HIDDEN, AFTER] = [5, 30, 9]
const BACK = GOES + HIDDEN
const FRAMES = BACK + AFTER
/** Frames after its return by which it must be followed, and how well, px. */
const SOON = 5
const LIMIT = 0.3

/** About the plane's middle, turned and larger, and carried away. */
function put(size: number, degrees: number, dx: number, dy: number): Motion {
  const [c, s] = [
    size * Math.cos((degrees * Math.PI) / 180),
    size * Math.sin((degrees * Math.PI) / 180),
  ] as const
  const [x, y] = [125, 125]
  return [c, -s, x - c * x + s * y + dx, s, c, y - s * x - c * y + dy, 0, 0, 1]
}

/** Slow at first; elsewhere, 20° turned and 1.3 times as large after. */
const seen = (f: number): Motion =>
  f < BACK ? put(1, 0, 0.7 * f, 0.4 * f) : put(1.3, 20 + 0.3 * (f - BACK), 175 + 0.9 * (f - BACK), 25)
/** What lies behind goes another way. */
const behind = (f: number): Motion => [1, 0, 2.5 * f, 0, 1, -0.5 * f, 0, 0, 1]

/** @param where the plane lies; nothing where it is not in the picture @param covered whether all of the picture is */
function clip(where: (f: number) => Motion | undefined, covered: (f: number) => boolean): Source {
  const shot = { ...SIZE, frames: FRAMES }
  const plane = plateOf({ ...shot, surface: cobbles(2200, 1300), motion: seen, noise: 1 })
  const other = plateOf({ ...shot, surface: plaster(2200, 1300), motion: behind })
  return {
    ...plane,
    async *frames(first = 0, count = FRAMES) {
      for (let f = first; f < Math.min(FRAMES, first + count); f++)
        yield covered(f) ? cover() : await composed(plane, other, f, where(f))
    },
  }
}

function cover(): NativeFrame {
  const layout = { family: 'yuv', bits: 8, float: false, subX: 1, subY: 1, alpha: false } as const
  const out = allocateFrame(layout, SIZE.width, SIZE.height)
  const luma = out.planes[0]!.data
  for (let i = 0; i < luma.length; i++)
    luma[i] = 60 + 120 * chance(Math.floor((i % SIZE.width) / 5), Math.floor(i / SIZE.width / 5))
  return out
}

async function composed(plane: Source, other: Source, frame: number, where: Motion | undefined) {
  const out = await one(other, frame)
  if (where === undefined) return out
  const own = (await one(plane, frame)).planes[0]!.data
  const luma = out.planes[0]!.data
  const back = inverted(where)
  for (let i = 0; i < luma.length; i++) {
    const [u, v] = at(back, (i % SIZE.width) + 0.5, Math.floor(i / SIZE.width) + 0.5)
    if (u > 60 && u < 190 && v > 60 && v < 190) luma[i] = own[i]!
  }
  return out
}

async function one(source: Source, frame: number): Promise<NativeFrame> {
  for await (const f of source.frames(frame, 1)) return f
  throw new Error('no such frame')
}

async function offs(source: Source) {
  const asked = { id: 'plane', reference: 0, first: 0, count: FRAMES, region: PLANE }
  const [found] = await followTracks(source, 0, [asked], STRAIGHT, () => {})
  return solveTrack(found!.evidence).frames.map(({ frame, state, matrix }) => {
    const off = PLANE.map(([x, y]) => {
      const [[a, b], [c, d]] = [at(matrix, x, y), at(seen(frame), x, y)]
      return Math.hypot(a - c, b - d)
    })
    return { frame, state, off: Math.max(...off) }
  })
}

describe('a plane that is lost for 30 frames and comes back elsewhere, turned by 20° and 1.3 times as large', () => {
  const fine = (frames: Awaited<ReturnType<typeof offs>>) => {
    const after = frames.filter((f) => f.frame >= BACK + SOON)
    expect(after.filter((f) => f.state !== 'tracked' || f.off > LIMIT)).toEqual([])
    const hidden = frames.filter((f) => f.frame >= GOES + 2 && f.frame < BACK)
    expect(hidden.filter((f) => f.state === 'tracked')).toEqual([])
  }
  const away = (f: number) => f >= GOES && f < BACK
  it('is followed again where something covered it', async () => {
    fine(await offs(clip(seen, away)))
  })
  it('is followed again where it had left the picture', async () => {
    fine(
      await offs(
        clip(
          (f) => (away(f) ? undefined : seen(f)),
          () => false,
        ),
      ),
    )
  })
})
