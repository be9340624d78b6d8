import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { pictures, smallFiles } from '../../test/small.js'
import { parseShot } from '../shot/index.js'
import { fitShot } from './fit.js'
import { aberrationTreatment } from './fitLens.js'

const folder = mkdtempSync(join(tmpdir(), 'platefit-flat-'))
/** sRGB code of linear light (IEC 61966-2-1), above the toe. */
const code = (v: number) => 1.055 * v ** (1 / 2.4) - 0.055
const K = [-0.6, 0.2, -0.1] as const
const share = (rr: number) => 1 + K[0] * rr + K[1] * rr ** 2 + K[2] * rr ** 3

beforeAll(async () => {
  await smallFiles(folder)
  await pictures(join(folder, 'flat', 'flat.####.png'), 160, 96, 2, (x, y) => {
    const rr = ((x - 79.5) ** 2 + (y - 47.5) ** 2) / (79.5 ** 2 + 47.5 ** 2)
    const v = code(0.4 * share(rr))
    return [v, v, v]
  })
})
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const shot = (camera: object, card?: object) =>
  parseShot(
    {
      platefit: 1,
      plate: { file: 'plate' },
      camera,
      ...(card && { site: { greyCard: card } }),
      elements: [],
    },
    'test',
  )

describe('lateral aberration', () => {
  it('that does not stand out is none, and its evidence says what was found', () => {
    const evidence = { kind: 'measured' as const, frames: [0], method: 'edges', confidence: 0.8 }
    const of = (...factors: [number, number]) =>
      aberrationTreatment({ value: { factors, spreads: [1e-4, 1e-4] }, evidence })
    expect(of(1.0002, 0.9995)).toMatchObject({
      value: [1, 0.9995],
      evidence: { method: expect.stringMatching(/^edges; .*none: red at 1\.000200$/) },
    })
    expect(of(1.0004, 0.9995)).toEqual({ value: [1.0004, 0.9995], evidence })
  })
})

describe('a flat frame', () => {
  it('tells the vignette, with its evidence', async () => {
    const { shot: fitted } = await fitShot(shot({ flat: { file: 'flat' } }), folder)
    const t = fitted.plate.treatments['lens.vignette']
    if (t === undefined || !('value' in t)) throw new Error('no vignette')
    const [k1, k2, k3] = t.value as [number, number, number]
    for (const rr of [0.3, 0.7, 1])
      expect(1 + k1 * rr + k2 * rr ** 2 + k3 * rr ** 3).toBeCloseTo(share(rr), 2)
    expect(t.evidence).toMatchObject({ kind: 'measured', frames: [0, 1] })
  })

  it('is asked for where there is none: a scene does not tell', async () => {
    const { shot: fitted } = await fitShot(shot({}), folder)
    expect(fitted.plate.treatments['lens.vignette']).toMatchObject({
      cannotTell: expect.stringContaining('film an even, featureless surface'),
    })
  })

  // The card's light is what fell on the lens: the plate's over the share that is left there.
  it('gives the grey card back what the lens took', async () => {
    const card = { x: 8, y: 40, width: 32, height: 16, reflectance: 0.18 }
    const light = async (camera: object) => {
      const { shot: fitted } = await fitShot(shot(camera, card), folder)
      const t = fitted.plate.treatments['light.ambient']
      return t !== undefined && 'value' in t ? (t.value[1] as number) : 0
    }
    const rr = (24 - 80) ** 2 / (79.5 ** 2 + 47.5 ** 2)
    expect((await light({ flat: { file: 'flat' } })) / (await light({}))).toBeCloseTo(1 / share(rr), 1)
  })
})
