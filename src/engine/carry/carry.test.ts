/** Against outlines that pictures are painted with. Limits: what a careful hand would do, and what a spline through 18 points allows. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { BLOB, drawnOutline, middleOf, onOutline, paintBlob, type Scene } from '../../../test/blob.js'
import { madeFrom } from '../../../test/trackKey.js'
import { pointsAt } from '../../chain/place/shape/moments.js'
import { flatten } from '../../chain/place/shape/outline.js'
import type { TrackData } from '../../shot/index.js'
import { parseShot } from '../../shot/index.js'
import { loadShot } from '../document.js'
import { openRecord } from '../sources.js'
import { writeTrack } from '../track/file.js'
import { findTracks } from '../tracks.js'
import { carryShape } from './carry.js'
import { keyByHand, OUTLINE_DIGITS, viewOf } from './seen.js'

const FRAMES = 24
const folder = mkdtempSync(join(tmpdir(), 'platefit-carry-'))
const SCENES = {
  soft: { frames: FRAMES },
  barred: { frames: FRAMES, bar: 16, stiff: true },
} as const satisfies Record<string, Scene>

beforeAll(async () => {
  for (const [name, scene] of Object.entries(SCENES)) await paintBlob(join(folder, name), scene)
}, 120_000)
afterAll(() => rmSync(folder, { recursive: true, force: true }))

type Name = keyof typeof SCENES
let made = 0

function document(name: Name, drawn: readonly number[], more: object = {}, tracks: object[] = []): string {
  const path = join(folder, `${++made}.shot.json`)
  const { stiff } = SCENES[name] as Scene
  const keys = drawn.map((frame) => ({ frame, points: drawnOutline(frame, stiff) }))
  const plate = { file: `${name}/blob/blob.####.png`, rate: '24' }
  const shapes = [{ id: 'blob', keys, ...more }]
  writeFileSync(path, JSON.stringify({ platefit: 1, plate, elements: [], shapes, tracks }))
  return path
}

const shapeOf = (path: string) => parseShot(readFileSync(path, 'utf8'), path).shapes[0]!

/** How far the true outline lies from the one that the document has on a frame, px: root of the mean square, and the farthest. */
function off(path: string, n: number, stiff?: true, by = [0, 0]): { rms: number; most: number } {
  const shape = shapeOf(path)
  const line = flatten([pointsAt({ keys: shape.keys }, n)], true)[0] as Float64Array
  const squares = Array.from({ length: 120 }, (_, i) => {
    const [tx, ty] = onOutline((i * Math.PI) / 60, n, stiff)
    const [px, py] = [tx - by[0]!, ty - by[1]!]
    let least = Number.POSITIVE_INFINITY
    for (let k = 0; k < line.length; k += 2) {
      const m = (k + 2) % line.length
      const [x0, y0, dx, dy] = [line[k]!, line[k + 1]!, line[m]! - line[k]!, line[m + 1]! - line[k + 1]!]
      const t = Math.min(1, Math.max(0, ((px - x0) * dx + (py - y0) * dy) / (dx * dx + dy * dy)))
      least = Math.min(least, (px - x0 - t * dx) ** 2 + (py - y0 - t * dy) ** 2)
    }
    return least
  })
  return {
    rms: Math.sqrt(squares.reduce((a, b) => a + b, 0) / squares.length),
    most: Math.sqrt(Math.max(...squares)),
  }
}

const every = (path: string, stiff?: true) => Array.from({ length: FRAMES }, (_, n) => off(path, n, stiff))

describe('a blob that moves, turns and changes its form', () => {
  it('is carried from one key, and better from two', async () => {
    const one = document('soft', [0])
    const done = await carryShape(one, 'blob')
    expect(done.stopped).toEqual([])
    expect(done.reached.map((r) => r.frame)).toEqual(Array.from({ length: FRAMES - 1 }, (_, i) => i + 1))
    const alone = every(one)
    for (const { rms, most } of alone)
      expect([rms < 0.6, most < 1.2, rms, most]).toEqual([true, true, rms, most])
    const two = document('soft', [0, 12])
    const corrected = await carryShape(two, 'blob')
    const better = every(two)
    const mean = (list: { rms: number }[]) => list.reduce((sum, o) => sum + o.rms, 0) / list.length
    for (const part of [
      [7, 12],
      [13, 18],
    ] as const)
      expect(mean(better.slice(...part))).toBeLessThan(mean(alone.slice(...part)))
    // Fewer keys than frames: the rest lies between them.
    expect(corrected.keys).toBeLessThan(FRAMES - 2)
  }, 120_000)

  it('refuses frames that begin after they end, and says so', async () => {
    await expect(carryShape(document('soft', [6]), 'blob', { from: 12, to: 7 })).rejects.toMatchObject({
      code: 'carry.frames',
      detail: { what: 'The frames begin after they end', received: '--from 12 --to 7' },
    })
  })

  it('keeps what a hand drew, and replaces what was carried before within the frames that are asked for', async () => {
    const path = document('soft', [6])
    await carryShape(path, 'blob')
    const before = shapeOf(path)
    await carryShape(path, 'blob', { from: 7, to: 12, again: true })
    const after = shapeOf(path)
    const hand = before.keys.find((k) => k.frame === 6)!
    expect(hand.points.flat().every((v, i) => Math.abs(v - drawnOutline(6).flat()[i]!) < 1e-3)).toBe(true)
    expect(after.keys.filter((k) => k.carried === undefined)).toEqual([hand])
    const outside = (s: typeof after) => s.keys.filter((k) => k.frame < 7 || k.frame > 12)
    expect(outside(after)).toEqual(outside(before))
    expect(after.keys.some((k) => k.frame === 12 && k.carried !== undefined)).toBe(true)
  }, 60_000)

  it('goes with a track: what is left beside its motion stands on the reference frame', async () => {
    const [x0, y0] = middleOf(5)
    const by = (n: number) => middleOf(n).map((v, c) => v - [x0, y0][c]!) as [number, number]
    const { width, height } = BLOB
    const asked = { id: 'go', reference: 5, motion: 'translation' }
    const follow = { track: 'go', take: 'all' }
    const bare = JSON.parse(readFileSync(document('soft', [5], { follow }, [asked]), 'utf8'))
    const data: TrackData = {
      ...({
        platefitTrack: 1,
        id: 'go',
        madeFrom: await madeFrom(bare, folder, 'go'),
        plate: { width, height },
        reference: 5,
      } as const),
      ...{ motion: 'translation' as const, why: 'painted', points: [], jumps: [], said: [] },
      frames: Array.from({ length: FRAMES }, (_, frame) => ({
        ...({ frame, state: 'tracked', spreadPx: 0, agree: 0, seen: 0 } as const),
        matrix: [1, 0, by(frame)[0], 0, 1, by(frame)[1], 0, 0, 1],
      })),
    }
    const named = await writeTrack(join(folder, 'go.shot.json'), data)
    const track = { ...asked, data: named }
    const path = document('soft', [5], { follow }, [track])
    const done = await carryShape(path, 'blob')
    expect(done.stopped).toEqual([])
    for (const n of [0, 11, 17, 23]) expect(off(path, n, undefined, by(n)).rms).toBeLessThan(0.6)
    // Drawn as it is seen on a frame, it stands in the document where the track comes from.
    const { shot } = await loadShot(path)
    const shape = shot.shapes[0]!
    const plate = await openRecord(shot.plate, folder)
    const view = viewOf(shot, shape, await findTracks(shot, folder, plate.info), plate.info)
    await plate.close()
    const drawn = drawnOutline(17)
    const key = keyByHand(view, 'blob', 17, drawn)
    expect(key).toMatchObject({ kind: 'shapeKey', shape: 'blob', frame: 17 })
    expect(key.points).toEqual(
      drawn.map((p) => p.map((v, c) => expect.closeTo(v - by(17)[c]!, OUTLINE_DIGITS - 1))),
    )
  }, 60_000)
})

describe('a bar that passes before it', () => {
  it('is bridged by the rest of the outline', async () => {
    const path = document('barred', [0])
    const done = await carryShape(path, 'blob', { limitPx: 5 })
    const all = every(path, true)
    expect(done.stopped).toEqual([])
    for (const { rms, most } of all) expect([rms < 1, most < 3, rms, most]).toEqual([true, true, rms, most])
    // When it is gone, nothing is left of it.
    expect(all.at(-1)!.rms).toBeLessThan(0.6)
  }, 60_000)
})
