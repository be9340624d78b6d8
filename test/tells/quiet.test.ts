/**
 * What is right stays quiet over a whole shot, on finished files: false alarms of slide, stepping, repeats and covering are counted.
 * Real footage is looked for beside the checkout (PLATEFIT_FOOTAGE overrides) and skipped where it is absent.
 */
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, describe, expect, it } from 'vitest'
import { type CheckResult, loadShot, openSource, parseShot } from '../../src/engine/index.js'
import { trackShot } from '../../src/engine/track/track.js'
import { makeThreeDepths, writeTwins } from '../worlds/depths/world.js'
import { crate } from './moving.js'
import { check, type Files } from './shots.js'

const footage =
  process.env.PLATEFIT_FOOTAGE ?? fileURLToPath(new URL('../../../shared/footage', import.meta.url))
const root = mkdtempSync(join(tmpdir(), 'platefit-quiet-'))
afterAll(() => rmSync(root, { recursive: true, force: true }))

/** Large frames: a movie of them is written and read in half the time of pictures. */
const MOVIE = { format: 'prores-422-hq' } as const
const OURS = ['slide', 'stepping', 'over-nearer', 'repeated']
const ours = (r: CheckResult): string[] =>
  r.tells.filter((t) => OURS.includes(t.tell)).map((t) => `${t.element}: ${t.tell}: ${t.sentence}`)

function filesOf(): Files {
  return { folder: mkdtempSync(join(root, 'shot-')), plate: 'plate' }
}

/** The path, or nothing where the footage is not here. */
function real(name: string): string | undefined {
  const path = join(footage, name)
  if (existsSync(path)) return path
  console.log(`skipped: ${path} is not here`)
  return undefined
}

/** How far a part of the first frame lies from where it was, on another frame: least squares, whole pixels, 12 px about. */
async function moved(path: string, r: { x: number; y: number; width: number; height: number }, n: number) {
  const source = await openSource(path)
  const pictures: Float32Array[] = []
  for (const k of [0, n])
    for await (const f of source.frames(k, 1)) pictures.push(Float32Array.from(f.planes[0]?.data ?? []))
  const { width } = source.info
  await source.close()
  let best = { cost: Number.POSITIVE_INFINITY, far: 0 }
  for (let dy = -6; dy <= 12; dy++) {
    for (let dx = -6; dx <= 12; dx++) {
      let cost = 0
      for (let y = r.y; y < r.y + r.height; y++)
        for (let x = r.x; x < r.x + r.width; x++)
          cost += ((pictures[0]?.[y * width + x] ?? 0) - (pictures[1]?.[(y + dy) * width + x + dx] ?? 0)) ** 2
      if (cost < best.cost) best = { cost, far: Math.hypot(dx, dy) }
    }
  }
  return best.far
}

describe('over a whole shot', () => {
  it('three depths: a flat that goes with its own depth', async () => {
    const folder = mkdtempSync(join(root, 'depths-'))
    const setting = await makeThreeDepths(folder, 5, { width: 320, frames: 20 })
    const tracked = await trackShot(join(folder, 'three-depths.shot.json'))
    await writeTwins(
      folder,
      setting,
      tracked.map((t) => t.data),
    )
    const { shot } = await loadShot(join(folder, 'clean.flat.shot.json'))
    expect(ours(await check({ folder, plate: '' }, shot))).toEqual([])
    const { shot: left } = await loadShot(join(folder, 'clean.still.shot.json'))
    expect(ours(await check({ folder, plate: '' }, left)).join()).toMatch(/slide: bush stays in the frame/)
  }, 240_000)

  const park = (files: Files, plate: string, first: number, count: number) =>
    parseShot(
      {
        platefit: 1,
        plate: { file: plate, frames: { first, count } },
        elements: [{ ...crate(files), position: { x: 384, y: 300 } }],
      },
      'test',
    )

  it('a car park: a car that drives over the foot is not its ground', async () => {
    const plate = real('plates/carpark-lockedoff.mp4')
    if (plate === undefined) return
    const files = filesOf()
    const r = await check(files, park(files, plate, 50, 50), MOVIE)
    // The wind moves the camera by 2 to 4 px (painted lines, by template); the car goes some 300 px.
    const slide = r.tells.find((t) => t.tell === 'slide')?.measured ?? 0
    expect(slide).toBeLessThan(4)
    // Nothing names a place that it should be as soft as.
    expect(r.undecided.find((u) => u.tell === 'softness')?.why).toMatch(/compareWith/)
  }, 240_000)

  it('a car park: speaks where the wind moves the camera', async () => {
    const plate = real('plates/carpark-lockedoff.mp4')
    if (plate === undefined) return
    // By template at whole pixels, full search: the painted line at the upper left goes so far to frame 12.
    const there = await moved(plate, { x: 6, y: 6, width: 48, height: 48 }, 12)
    expect(there).toBeGreaterThanOrEqual(2)
    const files = filesOf()
    const r = await check(files, park(files, plate, 0, 36), MOVIE)
    expect(ours(r).join()).toMatch(/slide: crate stays in the frame/)
    expect(Math.abs((r.tells.find((t) => t.tell === 'slide')?.measured ?? 0) - there)).toBeLessThan(1.6)
  }, 240_000)

  it('a room filmed from the hand: a thing on the edge of a shelf that goes with the wall behind it', async () => {
    const plate = real('plates/bedroom-handheld-720p.mp4')
    if (plate === undefined) return
    const files = filesOf()
    const path = join(files.folder, 'room.shot.json')
    const region = [
      [560, 60],
      [1000, 60],
      [1000, 200],
      [560, 200],
    ]
    const one = { ...crate(files), position: { x: 660, y: 144 }, follow: { track: 'wall' } }
    const { follow: _, ...left } = { ...one, id: 'left', position: { x: 880, y: 144 } }
    const doc = {
      platefit: 1,
      plate: { file: plate, frames: { first: 0, count: 46 } },
      tracks: [{ id: 'wall', region }],
      elements: [one, left],
    }
    writeFileSync(path, JSON.stringify(doc))
    await trackShot(path)
    const { shot } = await loadShot(path)
    const r = await check(files, shot, MOVIE)
    const slides = (id: string) => r.tells.find((t) => t.tell === 'slide' && t.element === id)?.measured ?? 0
    // By eye, four times enlarged: the edge leaves the foot by about 3.5 px until frame 44.
    expect(slides('crate')).toBeGreaterThan(1.5)
    expect(slides('crate')).toBeLessThan(7)
    // The plate goes by about 180 px.
    expect(slides('left')).toBeGreaterThan(100)
  }, 400_000)

  it('flames and soot as bought, before a skyline', async () => {
    const plate = real('plates/rooftop-pq.mp4')
    const [flame, soot] = [real('elements/flame'), real('elements/soot')]
    if (plate === undefined || flame === undefined || soot === undefined) return
    const files = filesOf()
    const common = { alpha: 'straight', curve: 'srgb', rate: '24', scale: 0.5 }
    const shot = parseShot(
      {
        platefit: 1,
        plate: { file: plate, frames: { first: 0, count: 16 } },
        elements: [
          {
            ...common,
            id: 'soot',
            file: soot,
            nature: 'absorbs',
            position: { x: 900, y: 500 },
            drift: { upMs: 2 },
            distanceM: 200,
          },
          {
            ...common,
            id: 'flame',
            file: flame,
            nature: 'emits',
            position: { x: 400, y: 700 },
            time: { loop: { first: 0, count: 24, cross: 4, seed: 2 } },
          },
          {
            ...common,
            id: 'flame-late',
            file: flame,
            nature: 'emits',
            position: { x: 1500, y: 700 },
            trimFrames: 30,
          },
        ],
        camera: { sensorWidthMm: 6, focalLengthMm: 5 },
      },
      'test',
    )
    const said = ours(await check(files, shot, MOVIE))
    // The plate moves by hand: the flames are left in the frame.
    expect(said.filter((s) => !s.startsWith('flame'))).toEqual([])
    expect(said.filter((s) => !s.includes('slide'))).toEqual([])
  }, 400_000)
})
