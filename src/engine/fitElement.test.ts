import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { smallFiles } from '../../test/small.js'
import { parseShot } from '../shot/index.js'
import { fitShot } from './fit.js'

const folder = mkdtempSync(join(tmpdir(), 'platefit-emitter-'))
beforeAll(() => smallFiles(folder))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

/** Treatments of a flame over the small plate, taken to be in these primaries. */
async function flame(primaries: string) {
  const { shot } = await fitShot(
    parseShot(
      {
        platefit: 1,
        plate: { file: 'plate', primaries },
        camera: { fNumber: 4, iso: 100, shutterAngleDeg: 180 },
        elements: [
          {
            id: 'fire',
            file: 'fire',
            alpha: 'on-black',
            nature: 'emits',
            luminanceCdM2: 1500,
            position: { x: 80, y: 48 },
            scale: 1,
          },
        ],
      },
      'test',
    ),
    folder,
  )
  return shot.elements[0]?.treatments ?? {}
}

// Its own file says how hot and how bright a flame is; the plate's gamut has no part in that.
it('an emitter is the same over plates of other primaries', async () => {
  const [narrow, wide] = [await flame('bt709'), await flame('bt2020')]
  for (const name of ['light.elementTemperature', 'light.exposure', 'source.ceiling', 'source.blueOfGreen']) {
    expect(wide[name], name).toEqual(narrow[name])
  }
  expect(narrow['light.elementTemperature']).toHaveProperty('value')
})
