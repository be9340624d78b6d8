import { createHash } from 'node:crypto'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import type { SourceInfo } from '../media/index.js'
import { parseShot } from '../shot/index.js'
import { findTracks, trackOf } from './tracks.js'

const folder = mkdtempSync(join(tmpdir(), 'platefit-tracks-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const plate = { width: 640, height: 360 } as SourceInfo
const still = [1, 0, 0, 0, 1, 0, 0, 0, 1]
const frame = (matrix: readonly number[], more: object = {}) => ({
  ...{ frame: 0, state: 'tracked', matrix, spreadPx: 0.1, agree: 9, seen: 9 },
  ...more,
})
const data = (more: object = {}) => ({
  ...{ platefitTrack: 1, id: 'wall', madeFrom: 'a'.repeat(64), plate, reference: 0, motion: 'homography' },
  ...{ why: 'planes', frames: [frame(still)], points: [] },
  ...more,
})

/** What is found of a track whose file holds this, where the document asks for that. */
async function found(
  text: string,
  ask: object = {},
  sha256 = createHash('sha256').update(text).digest('hex'),
) {
  writeFileSync(join(folder, 'wall.json'), text)
  const tracks = [{ id: 'wall', data: { file: 'wall.json', sha256 }, ...ask }]
  const shot = parseShot({ platefit: 1, plate: { file: 'p.mov' }, tracks, elements: [] }, 'test')
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
