import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { pictures, smallFiles } from '../../test/small.js'
import { parseShot, type ShotElement } from '../shot/index.js'
import { fitShot } from './fit.js'

const folder = mkdtempSync(join(tmpdir(), 'platefit-emitter-'))
beforeAll(async () => {
  await smallFiles(folder)
  // A flame up to four times the ceiling, its blue rising as green to the 1.25; sRGB codes by IEC 61966-2-1, above the toe.
  const code = (light: number) => Math.max(1.055 * Math.min(light, 1) ** (1 / 2.4) - 0.055, 0)
  await pictures(join(folder, 'flame', 'flame.####.png'), 160, 160, 2, (x, y) => {
    const green = 4 * Math.max(1 - Math.hypot((x - 80) / 50, (y - 80) / 70) ** 1.5, 0)
    return [code(3.2 * green), code(green), code(0.1 * green ** 1.25)]
  })
  // The same over a black that is none.
  await pictures(join(folder, 'veiled', 'veiled.####.png'), 160, 160, 2, (x, y) => {
    const green = Math.max(1 - Math.hypot((x - 80) / 50, (y - 80) / 70) ** 1.5, 0)
    return [code(1.6 * green + 0.03), code(0.5 * green + 0.03), code(0.05 * green + 0.03)]
  })
})
afterAll(() => rmSync(folder, { recursive: true, force: true }))

/** A flame over the small plate, fitted, the plate taken to be in these primaries. */
async function fitted(primaries: string, over: Partial<ShotElement> = {}) {
  const { shot } = await fitShot(
    parseShot(
      {
        platefit: 1,
        plate: { file: 'plate', primaries },
        camera: { fNumber: 4, iso: 100, shutterAngleDeg: 180 },
        elements: [
          {
            id: 'fire',
            file: 'flame',
            alpha: 'on-black',
            nature: 'emits',
            luminanceCdM2: 1500,
            position: { x: 80, y: 48 },
            scale: 1,
            ...over,
          },
        ],
      },
      'test',
    ),
    folder,
  )
  return shot.elements[0] as ShotElement
}

// Its own file says how hot and how bright a flame is; the plate's gamut has no part in that.
it('an emitter is the same over plates of other primaries', async () => {
  const [narrow, wide] = [(await fitted('bt709')).treatments, (await fitted('bt2020')).treatments]
  for (const name of ['light.elementTemperature', 'light.exposure', 'source.ceiling', 'source.blueOfGreen']) {
    expect(wide[name], name).toEqual(narrow[name])
  }
  // By construction; green is whole over a range that holds blue down to 3 % of the ceiling.
  const [gain, power] = (narrow['source.blueOfGreen'] as { value: number[] }).value
  expect(gain).toBeCloseTo(0.1, 2)
  expect(power).toBeCloseTo(1.25, 1)
  expect(narrow['source.ceiling']).toMatchObject({ value: [1] })
})

it('the numbers do not depend on how far links are weakened, and that stays', async () => {
  const half = { strength: 0.5 }
  const links = { source: { off: true as const }, light: half, air: half, lens: half, sensor: half }
  const whole = await fitted('bt709', { file: 'veiled' })
  const weak = await fitted('bt709', { file: 'veiled', links })
  // There is a floor to take off.
  expect((whole.treatments['source.floor'] as { value: number[] }).value[2]).toBeGreaterThan(0.02)
  expect(weak).toEqual({ ...whole, links })
})
