/**
 * What is right stays quiet over a whole shot, on finished files: false alarms of slide, stepping, repeats and covering are counted.
 * Real footage is looked for beside the checkout (PLATEFIT_FOOTAGE overrides) and skipped where it is absent.
 */
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, describe, expect, it } from 'vitest'
import { type CheckResult, loadShot, parseShot } from '../../src/engine/index.js'
import { trackShot } from '../../src/engine/track/track.js'
import { makeThreeDepths } from '../worlds/depths/world.js'
import { crate } from './moving.js'
import { check, type Files } from './shots.js'

const footage =
  process.env.PLATEFIT_FOOTAGE ?? fileURLToPath(new URL('../../../shared/footage', import.meta.url))
const root = mkdtempSync(join(tmpdir(), 'platefit-quiet-'))
afterAll(() => rmSync(root, { recursive: true, force: true }))

const OURS = ['slide', 'stepping', 'over-nearer', 'repeated']
const ours = (r: CheckResult): string[] => {
  const told = r.undecided
    .filter((u) => OURS.includes(u.tell))
    .map((u) => `${u.element}: ${u.tell}: ${u.why}`)
  const said = r.tells
    .filter((t) => OURS.includes(t.tell))
    .map((t) => `${t.element}: ${t.tell}: ${t.sentence}`)
  console.log(said.join(' | '), '– cannot tell:', told.join(' | '))
  return said
}

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

describe('over a whole shot', () => {
  it('three depths: a flat that goes with its own depth', async () => {
    const folder = mkdtempSync(join(root, 'depths-'))
    await makeThreeDepths(folder, 5, { width: 384, frames: 30 })
    const { shot } = await loadShot(join(folder, 'clean.flat.shot.json'))
    expect(ours(await check({ folder, plate: '' }, shot))).toEqual([])
    const { shot: left } = await loadShot(join(folder, 'clean.still.shot.json'))
    expect(ours(await check({ folder, plate: '' }, left)).join()).toMatch(/slide: bush stays in the frame/)
  }, 240_000)

  it('a locked-off car park, where cars and people pass', async () => {
    const plate = real('plates/carpark-lockedoff.mp4')
    if (plate === undefined) return
    const files = filesOf()
    const stands = [
      [384, 300],
      [200, 220],
      [560, 260],
    ].map(([x, y], i) => ({ ...crate(files), id: `crate-${i}`, position: { x, y } }))
    const shot = parseShot(
      { platefit: 1, plate: { file: plate, frames: { first: 0, count: 100 } }, elements: stands },
      'test',
    )
    expect(ours(await check(files, shot))).toEqual([])
  }, 240_000)

  it('a bedroom filmed from the hand: what follows the bed stays, what follows nothing tells', async () => {
    const plate = real('plates/bedroom-handheld-720p.mp4')
    if (plate === undefined) return
    const files = filesOf()
    const path = join(files.folder, 'bedroom.shot.json')
    // On the shelf over the bed, beside the books.
    const at = { x: 660, y: 144 }
    const region = [
      [560, 60],
      [1000, 60],
      [1000, 200],
      [560, 200],
    ]
    const one = { ...crate(files), position: at, follow: { track: 'bed' } }
    const doc = {
      platefit: 1,
      plate: { file: plate, frames: { first: 0, count: 60 } },
      tracks: [{ id: 'bed', region }],
      elements: [one],
    }
    writeFileSync(path, JSON.stringify(doc))
    await trackShot(path)
    const { shot } = await loadShot(path)
    expect(ours(await check(files, shot))).toEqual([])
    const { follow: _, ...left } = shot.elements[0] as (typeof shot.elements)[0]
    expect(ours(await check(files, { ...shot, elements: [left] })).join()).toMatch(/slide/)
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
        plate: { file: plate },
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
    const said = ours(await check(files, shot))
    expect(said.filter((s) => !s.includes('slide'))).toEqual([])
  }, 400_000)
})
