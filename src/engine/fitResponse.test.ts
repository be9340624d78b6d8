import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { CARD, CORNERS, filmFiles } from '../../test/filmic.js'
import { confidenceOf, type Evidence } from '../core/index.js'
import { parseShot, type Shot, setTreatment } from '../shot/index.js'
import { fitShot } from './fit.js'

const folder = mkdtempSync(join(tmpdir(), 'platefit-camera-'))
beforeAll(() => filmFiles(folder))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const shot = (plate: object, camera: object = {}) =>
  parseShot(
    {
      platefit: 1,
      plate: { file: 'plate', ...plate },
      camera,
      site: { greyCard: CARD },
      elements: [
        {
          id: 'steam',
          file: 'steam',
          alpha: 'premultiplied',
          nature: 'absorbs',
          position: { x: 96, y: 54 },
          scale: 1,
          compareWith: { x: 80, y: 40, width: 60, height: 40 },
        },
      ],
    },
    'test',
  )

const measured = async (s: Shot) => (await fitShot(s, folder)).shot
const response = (s: Shot) => s.plate.treatments['sensor.response']
const sure = (t: unknown) => confidenceOf((t as { evidence: Evidence }).evidence)
const chart = { chart: { file: 'chart', corners: CORNERS } }

describe("the plate's curve", () => {
  it('of a display kind is assumed: it says so, what would cure it, and all in its light is 0.7 as sure', async () => {
    const assumed = await measured(shot({}))
    expect(response(assumed)).toMatchObject({
      cannotTell: expect.stringMatching(/curve, srgb, is assumed.*camera\.chart, camera\.bracket/),
    })
    const set = await measured(shot({ curve: 'srgb' }))
    expect(response(set)).toBeUndefined()
    // The values are the same: only how far they are believed differs.
    for (const name of ['light.ambient', 'sensor.grainVariance'] as const) {
      const [a, s] = [assumed, set].map((x) => x.plate.treatments[name])
      expect((a as { value: number[] }).value).toEqual((s as { value: number[] }).value)
      expect(sure(a) / sure(s)).toBeCloseTo(0.7, 3)
    }
    const [a, s] = [assumed, set].map((x) => x.elements[0]?.treatments)
    expect(sure(a?.['light.plateMiddle']) / sure(s?.['light.plateMiddle'])).toBeCloseTo(0.7, 3)
    // Its own file is linear light, and no more in doubt than that.
    expect(sure(a?.['light.elementMiddle'])).toBe(sure(s?.['light.elementMiddle']))
  })

  it('of a log or PQ kind is as good as its tag', async () => {
    for (const curve of ['pq', 's-log3']) expect(response(await measured(shot({ curve })))).toBeUndefined()
  })

  it('measured is as sure as its measurement, and replaces an older one', async () => {
    const once = await measured(shot({}, chart))
    const t = response(once)
    expect(t).toMatchObject({ evidence: { kind: 'measured', frames: [0] } })
    const set = await measured(shot({ curve: 'srgb' }))
    const [own, named] = [once, set].map((x) => sure(x.plate.treatments['light.ambient']))
    expect((own as number) / (named as number)).toBeCloseTo(sure(t), 3)
    expect(response(await measured(once))).toEqual(t)
    expect(response(await measured({ ...once, camera: {} }))).toHaveProperty('cannotTell')
  })

  it('set by hand stays, and is what the light is read through', async () => {
    const rows = [0.02, 0.2, 0.2, 0.2, 0.36, 0.9, 0.9, 0.9]
    const kept = await measured(setTreatment(shot({}, chart), 'plate', 'sensor.response', rows))
    expect(response(kept)).toMatchObject({ value: rows, evidence: { kind: 'set' } })
    const ambient = (s: Shot) => (s.plate.treatments['light.ambient'] as { value: number[] }).value
    // The card's green code is the filmic curve's of 0.18, 0.426: straight in stops between the rows.
    const stops = Math.log2(0.02) + (Math.log2(18) * (0.426 - 0.2)) / 0.7
    expect(ambient(kept)[1]).toBeCloseTo(2 ** stops / 0.18, 2)
  })
})

describe('it cannot tell', () => {
  it.each<[string, object, RegExp]>([
    [
      'from a frame that is not there',
      { chart: { ...chart.chart, frame: 9 } },
      /chart has no frame 9: it has 1/,
    ],
    [
      'from a chart outside its picture',
      { chart: { corners: CORNERS.map(([x, y]) => [x + 90, y]) } },
      /outside/,
    ],
    ['from something that is no chart', { chart: { corners: CORNERS } }, /uneven|agree|needs|ΔE off/],
    ['from linear light', { chart: { file: 'steam', corners: CORNERS } }, /steam is linear light/],
  ])('%s, and the rest is fitted', async (_, camera, words) => {
    const fitted = await measured(shot({}, camera))
    expect(response(fitted)).toMatchObject({ cannotTell: expect.stringMatching(words) })
    expect(fitted.plate.treatments['light.ambient']).toHaveProperty('value')
  })

  it('of a linear plate, which has no curve', async () => {
    expect(response(await measured(shot({ file: 'steam' }, chart)))).toMatchObject({
      cannotTell: expect.stringMatching(/plate is linear light/),
    })
  })

  it('from a file that is missing: that is an error', async () => {
    await expect(
      measured(shot({}, { chart: { file: 'nowhere.mov', corners: CORNERS } })),
    ).rejects.toMatchObject({
      detail: { code: 'media.file-missing' },
    })
  })
})
