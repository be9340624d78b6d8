import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { smallFiles } from '../../test/small.js'
import { parseShot, setTreatment } from '../shot/index.js'
import { fitShot } from './fit.js'

const folder = mkdtempSync(join(tmpdir(), 'platefit-card-'))
beforeAll(() => smallFiles(folder))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

/** sRGB to linear (IEC 61966-2-1), above the toe. */
const linear = (code: number) => ((code + 0.055) / 1.055) ** 2.4
/** The small plate's red at a place: a slope (test/small.ts); green is 0.95 of it, blue 0.9. */
const red = (x: number, y: number) => 0.15 + (0.5 * y) / 96 + (0.1 * x) / 160

const card = { x: 60, y: 40, width: 32, height: 16, reflectance: 0.18 }
const shot = (site: object, element: object) =>
  parseShot(
    {
      platefit: 1,
      plate: { file: 'plate' },
      site,
      elements: [
        {
          id: 'soot',
          file: 'plate',
          alpha: 'none',
          nature: 'absorbs',
          position: { x: 80, y: 48 },
          scale: 1,
          ...element,
        },
      ],
    },
    'test',
  )

const value = (t: unknown) => (t as { value: number[] }).value

describe('a grey card', () => {
  it('in the plate says the light of the place, and an element of known reflectance stands in it', async () => {
    const { shot: fitted } = await fitShot(
      shot({ greyCard: card }, { reflectance: [0.09, 0.06, 0.03] }),
      folder,
    )
    const ambient = value(fitted.plate.treatments['light.ambient'])
    const middle = value(fitted.elements[0]?.treatments['light.plateMiddle'])
    for (const [c, share] of [1, 0.95, 0.9].entries()) {
      const white = linear(share * red(76, 48)) / 0.18
      expect((ambient[c] as number) / white).toBeCloseTo(1, 1)
      expect((middle[c] as number) / ([0.09, 0.06, 0.03][c] as number) / (ambient[c] as number)).toBeCloseTo(
        1,
        1,
      )
    }
  })

  it('set by hand goes before the card, and a place to compare with comes after both', async () => {
    const byHand = setTreatment(
      shot({ greyCard: card }, { reflectance: 0.5 }),
      'plate',
      'light.ambient',
      [0.2, 0.3, 0.4],
    )
    const { shot: fitted } = await fitShot(byHand, folder)
    expect(value(fitted.elements[0]?.treatments['light.plateMiddle'])).toEqual(
      [0.1, 0.15, 0.2].map((v) => expect.closeTo(v, 6)),
    )
    const compareWith = { x: 20, y: 20, width: 64, height: 32 }
    const { shot: compared } = await fitShot(shot({}, { compareWith }), folder)
    expect(compared.elements[0]?.treatments['light.plateMiddle']).toMatchObject({
      evidence: { kind: 'measured', region: compareWith },
    })
  })

  it('outside its picture is said, and its element is left as it is', async () => {
    const { shot: fitted } = await fitShot(
      shot({ greyCard: { ...card, x: 4000 } }, { reflectance: 0.5 }),
      folder,
    )
    expect(fitted.plate.treatments['light.ambient']).toMatchObject({
      cannotTell: expect.stringMatching(/outside/),
    })
    expect(fitted.elements[0]?.treatments['light.plateMiddle']).toMatchObject({
      cannotTell: expect.stringMatching(/card lies outside/),
    })
  })

  it('does not help an element whose own middle is black', async () => {
    const { shot: fitted } = await fitShot(
      shot({ greyCard: card }, { file: 'fire', reflectance: 0.5 }),
      folder,
    )
    expect(fitted.elements[0]?.treatments['light.plateMiddle']).toMatchObject({
      cannotTell: expect.stringMatching(/black/),
    })
  })

  it('asked for by a reflectance but missing is an error, as is a shore before its mark', () => {
    expect(() => shot({}, { reflectance: 0.5 })).toThrow(/without the light of the place/)
    const mark = { x: 10, y: 10, width: 8, height: 8, distanceM: 700, behindM: 300 }
    expect(() => shot({ marks: [mark] }, {})).toThrow(/nearer than the mark/)
    expect(() => shot({ greyCard: { ...card, curve: 'pq' } }, {})).toThrow(/this one has none/)
  })
})
