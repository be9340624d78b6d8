import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { encode } from '../../test/roundtrips/film.js'
import { photograph } from '../../test/roundtrips/photographs.js'
import { pictures, smallFiles } from '../../test/small.js'
import { parseShot, setTreatment } from '../shot/index.js'
import { shutterAngle } from './exposure.js'
import { fitShot } from './fit.js'

const folder = mkdtempSync(join(tmpdir(), 'platefit-shutter-'))
/** A camera that pans before a photograph: px a frame, and degrees. */
const [V, ANGLE] = [36, 200]

beforeAll(async () => {
  await smallFiles(folder)
  await pictures(join(folder, 'pan', 'pan.####.png'), 360, 300, 4, await pan())
})
afterAll(() => rmSync(folder, { recursive: true, force: true }))

/** By brute force: the mean of many moments, each a place between two pixels. */
async function pan() {
  const { image } = await photograph('airplane-from-above', 2)
  const { width } = image.region
  const moments = 40
  return (x: number, y: number, f: number) => {
    const sum = [0, 0, 0] as [number, number, number]
    for (let k = 0; k < moments; k++) {
      const at = x + V * (f + ((ANGLE / 360) * (k + 0.5)) / moments)
      const [i, part] = [Math.floor(at), at - Math.floor(at)]
      for (let c = 0; c < 3; c++) {
        const p = 4 * (y * width + i) + c
        sum[c]! += ((1 - part) * image.data[p]! + part * image.data[p + 4]!) / moments
      }
    }
    return sum.map(encode) as unknown as readonly [number, number, number]
  }
}

const GOES = { keys: [{ frame: 0 }, { frame: 3, dx: 20 }] }
const shot = (plate: string, element: object, camera = {}) =>
  parseShot(
    {
      ...{ platefit: 1, plate: { file: plate }, camera },
      elements: [
        {
          ...{ id: 'fire', file: 'fire', alpha: 'on-black', nature: 'emits', scale: 1 },
          ...{ position: { x: 80, y: 48 }, ...element },
        },
      ],
    },
    'test',
  )
const angleOf = async (s: ReturnType<typeof shot>) =>
  (await fitShot(s, folder)).shot.plate.treatments['shutter.angle']

describe("the shutter's angle", () => {
  it('is read off the streaks of a plate that moves', async () => {
    const t = await angleOf(shot('pan', GOES))
    if (t === undefined || !('value' in t)) throw new Error(JSON.stringify(t))
    expect(t.evidence.kind).toBe('measured')
    const spread = t.evidence.kind === 'measured' ? (t.evidence.spread ?? 0) : 0
    expect(Math.abs(t.value[0]! - ANGLE)).toBeLessThan(Math.min(2 * spread, 10))
  })

  it("is the camera's where that says it, and assumed, with the reason, where nothing tells it", async () => {
    expect(await angleOf(shot('plate', GOES, { shutterAngleDeg: 90 }))).toMatchObject({
      value: [90],
      evidence: { kind: 'derived', inputs: { shutterAngleDeg: 90 } },
    })
    expect(await angleOf(shot('plate', GOES))).toMatchObject({
      value: [180],
      evidence: {
        kind: 'assumed',
        why: expect.stringMatching(/camera.shutterAngleDeg.*nothing moves in the frames/),
      },
    })
  })

  it('is left alone where nothing goes, and where a hand has set it', async () => {
    expect(await angleOf(shot('plate', {}))).toBeUndefined()
    const byHand = setTreatment(shot('plate', GOES, { shutterAngleDeg: 90 }), 'plate', 'shutter.angle', [45])
    expect(await angleOf(byHand)).toMatchObject({ value: [45], evidence: { kind: 'set' } })
    expect(shutterAngle(byHand)).toBe(45)
  })
})
