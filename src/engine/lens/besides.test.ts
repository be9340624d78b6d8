/** A lens of our own invention in the published data's format; expected values by Lensfun 0.3.3 reading this very file [lensfun-db]. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { factorAt } from '../../chain/lens/aberration/model.js'
import { aberrationFor } from '../../chain/lens/aberration/profile.js'
import { falloff } from '../../chain/lens/vignette/model.js'
import { falloffFor } from '../../chain/lens/vignette/profile.js'
import { mergeFit } from '../../shot/edit.js'
import { parseShot } from '../../shot/index.js'
import { aberrationOf } from '../plateSettings.js'
import { findProfiles } from './database.js'
import { fromProfile } from './fromProfile.js'
import { notByHand, writeLens } from './write.js'

const folder = mkdtempSync(join(tmpdir(), 'platefit-lenses-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const dark = (focal: number, aperture: number, distance: number, ...k: number[]) =>
  `<vignetting model="pa" focal="${focal}" aperture="${aperture}" distance="${distance}" k1="${k[0]}" k2="${k[1]}" k3="${k[2]}"/>`
writeFileSync(
  join(folder, 'lenses.xml'),
  `<lensdatabase version="1">
  <lens>
    <maker>Glass</maker><model>Bright 20-40mm</model><mount>M</mount><cropfactor>1.5</cropfactor>
    <calibration>
      <distortion model="poly3" focal="20" k1="-0.02"/><distortion model="poly3" focal="40" k1="0.01"/>
      <tca model="poly3" focal="20" vr="1.0004" vb="0.9998" cr="-0.0003" cb="0.0002" br="0.0002" bb="-0.0001"/>
      <tca model="poly3" focal="40" vr="0.9997" vb="1.0003" cr="0.0001" bb="0.0003"/>
      <tca model="poly3" focal="28" vr="1.0001" vb="1.0002" br="0.0001"/>
      ${dark(20, 2.8, 1, -0.9, 0.5, -0.2)}${dark(20, 2.8, 1000, -1, 0.6, -0.2)}
      ${dark(20, 8, 1, -0.4, 0.1, 0)}${dark(20, 8, 1000, -0.5, 0.2, -0.05)}
      ${dark(40, 2.8, 1, -0.6, 0.2, -0.1)}${dark(40, 2.8, 1000, -0.7, 0.3, -0.1)}
      ${dark(40, 8, 1, -0.2, 0, 0)}${dark(40, 8, 1000, -0.25, 0.05, 0)}
    </calibration>
  </lens>
  <lens>
    <maker>Glass</maker><model>Old 35</model><cropfactor>1</cropfactor>
    <calibration>
      <distortion model="poly3" focal="35" k1="0.01"/><tca model="linear" focal="35" kr="1.0004" kb="1.0002"/>
    </calibration>
  </lens>
</lensdatabase>`,
)

describe('a published profile', () => {
  it.each([
    [20, 1.0004, 0.9998, -0.0003, 0.0002, 0.0002, -0.0001],
    [24, 1.0002563, 1.00001872, -0.000119791657, 7.29166641e-5, 0.000145833328, -6.77083372e-5],
    [28, 1.0001, 1.0002, 0, 0, 0.0001, 0],
    [33, 0.999940515, 1.00026298, 5.48014905e-5, -8.59287229e-6, 5.29320969e-5, 0.00013003299],
    [50, 0.9997, 1.0003, 0.0001, 0, 0, 0.0003],
  ])('says lateral aberration between its focal lengths: %s mm', async (f, ...wanted) => {
    const [lens] = await findProfiles(['bright'], folder)
    aberrationFor(lens!.aberration, f).forEach((k, i) => {
      expect(Math.abs(k - (wanted[i] as number))).toBeLessThan(i < 2 ? 1e-7 : 1e-10)
    })
  })

  it.each([
    [20, 2.8, 1000, -1, 0.6, -0.2],
    [24, 2.8, 1000, -0.952791214, 0.55369848, -0.197816208],
    [28, 4, 3, -0.64882201, 0.306480974, -0.10315875],
    [33, 5.6, 0.5, -0.321300447, 0.0815564916, -0.0205663741],
    [40, 8, 1, -0.2, 0, 0],
    [50, 16, 1000, -0.262843966, 0.0472936854, -0.00834598579],
    [18, 4, 2, -0.750582397, 0.390286118, -0.131261513],
  ])('says how light falls off at %s mm, f/%s, %s m', async (f, n, d, ...wanted) => {
    const [lens] = await findProfiles(['bright'], folder)
    falloffFor(lens!.falloff, f, n, d)?.forEach((k, i) => {
      expect(k).toBeCloseTo(wanted[i] as number, 6)
    })
    expect(falloffFor(lens!.falloff, 30, 1.2, 1)).toBeUndefined()
  })

  // The same library on 1921×1081 of a camera of crop 2 at 24 mm, f/4, 3 m: gain at the corner, and where red and blue of the right edge lie.
  it('is what the plate’s sensor sees of it', async () => {
    const camera = {
      focalLengthMm: 24,
      sensorWidthMm: (43.26661531 / 2) * (16 / Math.hypot(16, 9)),
      fNumber: 4,
    }
    const shot = (more: object, treatments = {}) =>
      parseShot({ platefit: 1, plate: { file: 'p.mov', treatments }, camera: { ...camera, ...more } }, 'test')
    const plate = { width: 1920, height: 1080 }
    const of = (s: ReturnType<typeof shot>) => fromProfile(s, plate, { words: ['bright'], folder })
    const { besides, said } = await of(shot({ focusM: 3 }))
    expect(said).toEqual([])
    const value = (name: keyof typeof besides) => {
      const t = besides[name]
      return t !== undefined && 'value' in t ? t.value : []
    }
    const corner = value('lens.vignette') as unknown as [number, number, number]
    expect(1 / falloff(corner, 1)).toBeCloseTo(1.454533, 5)
    expect(1 / falloff(corner, 960 ** 2 / (960 ** 2 + 540 ** 2))).toBeCloseTo(1.336174, 5)
    const treatments = parseShot({ platefit: 1, plate: { file: 'p.mov', treatments: besides } }, 'test')
    const lens = aberrationOf(treatments)!
    expect(960 * factorAt(lens, 0, 960 / 540)).toBeCloseTo(960.305054, 3)
    expect(960 * factorAt(lens, 1, 960 / 540)).toBeCloseTo(960.010254, 3)
    expect(besides['lens.vignette']).toMatchObject({
      evidence: { kind: 'derived', inputs: { lens: 'Glass Bright 20-40mm', fNumber: 4, distanceM: 3 } },
    })

    expect((await of(shot({}))).said).toEqual([expect.stringMatching(/camera.focusM/)])
    expect((await of(shot({ fNumber: 1.2, focusM: 1 }))).said).toEqual([
      expect.stringMatching(/Nobody measured/),
    ])
    const none = await fromProfile(
      parseShot(
        { platefit: 1, plate: { file: 'p.mov' }, camera: { focalLengthMm: 35, sensorWidthMm: 36 } },
        'test',
      ),
      plate,
      { words: ['old'], folder },
    )
    expect(none.said).toEqual([expect.stringMatching(/nothing of the fall-off/)])
    expect(none.besides).toMatchObject({ 'lens.aberration': { value: [1.0004, 1.0002] } })
    expect(Object.keys(none.besides)).toEqual(['lens.aberration'])
  })

  it('goes into the document but for what a hand set, and stays where a fit sees nothing of it', async () => {
    const set = { value: [1.001, 1], evidence: { kind: 'set' } }
    const path = join(folder, 'a.shot.json')
    const camera = { focalLengthMm: 24, sensorWidthMm: 18, fNumber: 4 }
    const document = (treatments: object) => ({ platefit: 1, plate: { file: 'p.mov', treatments }, camera })
    const byHand = parseShot(document({ 'lens.aberration': set }), 'test')
    const { reading, besides } = await fromProfile(
      byHand,
      { width: 1920, height: 1080 },
      { words: ['bright'], folder },
    )
    expect(Object.keys(notByHand(byHand, besides))).toEqual(['lens.vignette'])
    writeFileSync(path, JSON.stringify(document({})))
    await writeLens(path, reading as never, besides)
    const written = parseShot(JSON.parse(readFileSync(path, 'utf8')), 'test')
    const named = ['lens.aberration', 'lens.aberrationCurve', 'lens.vignette'] as const
    expect(Object.keys(written.plate.treatments).sort()).toEqual([...named, 'lens.distortion'].sort())
    const fitted = (treatments: typeof written.plate.treatments) => {
      const made = mergeFit(written, { ...written, plate: { ...written.plate, treatments } })
      return made.plate.treatments
    }
    const blind = {
      'lens.aberration': { cannotTell: 'no edges' },
      'lens.vignette': { cannotTell: 'one scene' },
    }
    for (const name of named) expect(fitted(blind)[name]).toEqual(written.plate.treatments[name])
    const measured = {
      'lens.aberration': {
        value: [1.0003, 1],
        evidence: { kind: 'measured' as const, frames: [0], method: 'm', confidence: 1 },
      },
    }
    expect(fitted(measured)['lens.aberration']).toEqual(measured['lens.aberration'])
    expect(fitted(measured)['lens.aberrationCurve']).toBeUndefined()
  })
})
