import { createHash } from 'node:crypto'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import type { SourceInfo } from '../media/index.js'
import { parseShot, type Shot, type Track } from '../shot/index.js'
import { trackKeys } from './track/key.js'
import { findTracks, trackOf } from './tracks.js'

const folder = mkdtempSync(join(tmpdir(), 'platefit-tracks-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const file = join(folder, 'p.mov')
writeFileSync(file, 'what the plate holds')
const plate = { path: file, width: 640, height: 360, frameCount: 10 } as SourceInfo
const still = [1, 0, 0, 0, 1, 0, 0, 0, 1]
const asking = (ask: object, more: object = {}) =>
  parseShot(
    { platefit: 1, plate: { file: 'p.mov' }, tracks: [{ id: 'wall', ...ask }], elements: [], ...more },
    'test',
  )
/** The key of what is asked for, where nothing else is said. */
const keyOf = async (shot: Shot) => (await trackKeys(shot, folder, plate))(shot.tracks[0] as Track)
const fresh = { madeFrom: await keyOf(asking({})) }

const frame = (matrix: readonly number[], more: object = {}) => ({
  ...{ frame: 0, state: 'tracked', matrix, spreadPx: 0.1, agree: 9, seen: 9 },
  ...more,
})
const data = (more: object = {}) => ({
  ...{
    platefitTrack: 1,
    id: 'wall',
    ...fresh,
    plate: { width: 640, height: 360 },
    reference: 0,
    motion: 'homography',
  },
  ...{ why: 'planes', frames: [frame(still)], points: [] },
  ...more,
})

/** What is found of a track whose file holds this, where the document asks for that. */
async function found(
  text: string,
  ask: object = {},
  sha256 = createHash('sha256').update(text).digest('hex'),
  more: object = {},
) {
  writeFileSync(join(folder, 'wall.json'), text)
  const shot = asking({ data: { file: 'wall.json', sha256 }, ...ask }, more)
  const one = (await findTracks(shot, folder, plate)).wall
  return one !== undefined && 'problem' in one ? one.problem : one?.track
}

describe('what came of a track', () => {
  it('is read where it is what the document names', async () => {
    expect(await found(JSON.stringify(data()))).toMatchObject({ id: 'wall', motion: 'homography' })
  })

  it.each([
    ['engine.no-track-data', JSON.stringify(data()), { data: undefined }],
    ['engine.track-missing', JSON.stringify(data()), { data: { file: 'none.json', sha256: 'a'.repeat(64) } }],
    ['engine.track-unreadable', '{', {}],
    ['engine.track-unreadable', '{"platefitTrack":1}', {}],
    ['engine.track-stale', JSON.stringify(data()), { reference: 3 }],
    ['engine.track-stale', JSON.stringify(data()), { motion: 'affine' }],
    ['engine.track-stale', JSON.stringify(data({ id: 'door' })), {}],
    ['engine.track-stale', JSON.stringify(data({ plate: { width: 320, height: 180 } })), {}],
  ])('else says why, and how it is made: %s', async (code, text, ask) => {
    const problem = await found(text, ask)
    expect(problem).toMatchObject({ code, where: 'tracks.wall' })
    expect((problem as { remedy?: string }).remedy).toBe('Run `platefit track SHOT wall`.')
  })

  it('is stale when anything that it was followed on has changed, and only then', async () => {
    const at = async (ask: object, more: object = {}) =>
      found(JSON.stringify(data()), ask, undefined, more).then((f) => (f as { code?: string }).code ?? 'fits')
    const lens = (evidence: object) => ({
      plate: { file: 'p.mov', treatments: { 'lens.distortion': { value: [-0.1, 0, 0, 0, 0], evidence } } },
    })
    const corrections = [{ frame: 3, from: [10, 10], to: [12, 11] }]
    const region = [
      [0, 0],
      [9, 0],
      [9, 9],
    ]
    for (const ask of [{ corrections }, { region }, { points: [[5, 5]] }, { frames: { first: 0, count: 4 } }])
      expect(await at(ask)).toBe('engine.track-stale')
    expect(await at({ frames: { first: 2, count: 4 } })).toBe('track.reference')
    expect(await at({}, { plate: { file: 'p.mov', frames: { first: 1, count: 5 } } })).toBe(
      'engine.track-stale',
    )
    expect(await found(JSON.stringify(data()), { frames: { first: 0, count: 4 } })).toMatchObject({
      expected: 'frames 0 to 3',
    })
    expect(await at({}, lens({ kind: 'set' }))).toBe('engine.track-stale')
    // A focal length counts where a turn is asked for; typed in for something else it leaves tracks as they are.
    expect(await at({}, { camera: { focalLengthMm: 35 } })).toBe('fits')
    // What is only said of it, of what it is for, of where a number comes from, changes nothing.
    expect(await at({ distanceM: 12 })).toBe('fits')
    expect(await at({}, { camera: { heightM: 1.6, iso: 800 } })).toBe('fits')
    const lenses = [lens({ kind: 'set' }), lens({ kind: 'assumed', why: 'a guess', confidence: 0.1 })].map(
      (l) => asking({}, l),
    )
    expect(new Set(await Promise.all(lenses.map(keyOf))).size).toBe(1)
    try {
      writeFileSync(file, 'what another holds!!')
      expect(await at({})).toBe('engine.track-stale')
    } finally {
      writeFileSync(file, 'what the plate holds')
    }
    expect(await at({})).toBe('fits')
  })

  it('is refused where its bytes are others, or it mirrors, flattens or folds', async () => {
    expect(await found(JSON.stringify(data()), {}, 'b'.repeat(64))).toMatchObject({
      code: 'engine.track-changed',
    })
    for (const m of [
      [-1, 0, 9, 0, 1, 0, 0, 0, 1],
      [1, 2, 0, 2, 4, 0, 0, 0, 1],
    ]) {
      expect(await found(JSON.stringify(data({ frames: [frame(m)] })))).toMatchObject({
        code: 'place.mirrors',
      })
    }
    const mesh = { x: 0, y: 0, width: 100, height: 100, columns: 2, rows: 2 }
    const bent = (nodes: number[]) =>
      found(JSON.stringify(data({ motion: 'mesh', mesh, frames: [frame(still, { nodes })] })))
    expect(await bent([0, 0, 20, 0, 0, 0, 0, 0])).toMatchObject({ motion: 'mesh' })
    expect(await bent([120, 0, 0, 0, 0, 0, 0, 0])).toMatchObject({ code: 'place.folds' })
    expect(await bent([0, 0])).toMatchObject({ code: 'engine.track-stale' })
  })

  it('is missed by what goes with it, and by nobody else', () => {
    expect(() => trackOf({}, 'wall')).toThrow(/wall/)
    const problem = { code: 'engine.no-track-data', what: 'The track "wall" has not been followed yet' }
    expect(() => trackOf({ wall: { problem } }, 'wall')).toThrow(/not been followed/)
  })
})
