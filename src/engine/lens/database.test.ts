/** A small folder of our own invention; and the published data where Debian's package is installed. */
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { aberrationFor } from '../../chain/lens/aberration/profile.js'
import { distortionWays } from '../../chain/lens/distortion/model.js'
import { atFocalLength } from '../../chain/lens/distortion/profile.js'
import { falloffFor } from '../../chain/lens/vignette/profile.js'
import { told } from '../../core/index.js'
import { parseShot } from '../../shot/index.js'
import { findProfiles, PROFILES } from './database.js'
import { fromProfile } from './fromProfile.js'

const folder = mkdtempSync(join(tmpdir(), 'platefit-lenses-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const lens = (model: string, crop: number, distortions: string, more = '') => `
  <lens>
    <maker>Glass &amp; Sons</maker>
    <model>${model}</model>
    <model lang="de">anders</model>
    ${more}
    <cropfactor>${crop}</cropfactor>
    <calibration>${distortions}</calibration>
  </lens>`
const poly3 = (focal: number, k1: number) => `<distortion model="poly3" focal="${focal}" k1="${k1}"/>`
writeFileSync(
  join(folder, 'lenses.xml'),
  `<!DOCTYPE lensdatabase SYSTEM "lensfun-database.dtd">
<lensdatabase version="1">
  <camera><model>no lens</model></camera>
  ${lens('Zoom 20-40mm', 1, poly3(40, 0.01) + poly3(20, -0.02))}
  ${lens('Zoom 20-40mm', 1.5, poly3(20, -0.03))}
  ${lens('Zoom 20-40mm Macro', 2, `<distortion model="ptlens" focal="20" b="0.01"/>`, '<aspect-ratio>4:3</aspect-ratio>')}
  ${lens('Round 8mm', 1, poly3(8, -0.1), '<type>fisheye</type>')}
</lensdatabase>`,
)

const SILENT = [
  'The profile says nothing of lateral aberration.',
  'The profile says nothing of the fall-off toward the corners.',
]
const plate = { width: 1920, height: 1080 }
const shot = (camera: object) => parseShot({ platefit: 1, plate: { file: 'p.mov' }, camera }, 'test')

describe('a folder of profiles', () => {
  it('gives lenses by words of their names, the one that is called just so alone', async () => {
    const names = async (...words: string[]) =>
      (await findProfiles(words, folder)).map((p) => [p.model, p.cropFactor])
    expect(await names('zoom', '20-40')).toHaveLength(3)
    expect(await names('zoom macro')).toEqual([['Zoom 20-40mm Macro', 2]])
    expect(await names('Glass & Sons', 'zoom 20-40mm')).toEqual([
      ['Zoom 20-40mm', 1],
      ['Zoom 20-40mm', 1.5],
    ])
    expect(await names('round')).toEqual([])
    expect(await names('no lens')).toEqual([])
    const [macro] = await findProfiles(['macro'], folder)
    expect(macro).toMatchObject({ maker: 'Glass & Sons', aspect: 4 / 3 })
    expect(macro?.measured).toEqual([
      { focalLengthMm: 20, distortion: { form: 'ptlens', terms: [0, 0.01, 0] } },
    ])
  })

  it('makes the plate’s distortion of the profile that covers it', async () => {
    const of = (camera: object, words: string[]) => fromProfile(shot(camera), plate, { words, folder })
    const { reading, said } = await of({ focalLengthMm: 20, sensorWidthMm: 36 }, ['zoom', '20-40mm'])
    expect(said).toEqual(SILENT)
    if (!told(reading)) throw new Error(reading.cannotTell)
    // By hand: 16:9 of 36 mm is 20.25 mm tall, the pictures of crop 1 are 24: s = 0.84375, k1·s² = −0.014238, and q with
    // q·(1.02 − 0.014238·q²) = 1.
    const q = 0.9941056
    expect(q * (1.02 - 0.014238 * q * q)).toBeCloseTo(1, 5)
    expect(reading.value.terms[0]).toBeCloseTo(-0.014238 * q ** 3, 6)
    expect(reading.evidence).toMatchObject({
      kind: 'derived',
      inputs: { lens: 'Glass & Sons Zoom 20-40mm', focalLengthMm: 20 },
    })
    const small = await of({ focalLengthMm: 60, sensorWidthMm: 17.3 }, ['macro'])
    expect(small.said).toEqual([expect.stringMatching(/from 20 to 20 mm; 60 mm/), ...SILENT])
    const large = await of({ focalLengthMm: 20, sensorWidthMm: 36 }, ['macro'])
    expect(large.said).toEqual([expect.stringMatching(/smaller pictures/), ...SILENT])
  })

  it('says what is missing, unknown or not one', async () => {
    const of = (camera: object, ...words: string[]) => fromProfile(shot(camera), plate, { words, folder })
    const all = { focalLengthMm: 20, sensorWidthMm: 36 }
    await expect(of({ sensorWidthMm: 36 }, 'macro')).rejects.toThrow('needs the focal length')
    await expect(of({ focalLengthMm: 20 }, 'macro')).rejects.toThrow("needs the sensor's width")
    await expect(of(all, 'zoom')).rejects.toThrow('2 lenses are called so')
    await expect(of(all, 'anders')).rejects.toThrow('No lens is called so')
    await expect(findProfiles([], join(folder, 'none'))).rejects.toThrow('No lens profiles are here')
  })

  it('says which file is none of them', async () => {
    const other = mkdtempSync(join(tmpdir(), 'platefit-lenses-'))
    const files = { 'a.xml': '<lensdatabase><lens></lensdatabase>', 'b.xml': '<other/>' }
    for (const [name, text] of Object.entries(files)) {
      writeFileSync(join(other, 'a.xml'), text)
      await expect(findProfiles([], other), name).rejects.toThrow('holds no lens profiles')
    }
    rmSync(other, { recursive: true })
  })
})

// Points by Lensfun 0.3.3 on 1921×1281 (1601×1201), each lens's own crop [lensfun-db]: right edge, undistorted pixel to file's.
describe.skipIf(!existsSync(PROFILES))('the published data (skipped without liblensfun-data-v1)', () => {
  it.each([
    ['Canon EF 50mm f/1.8 MkII', 50, 960, 640, 1913.8549],
    ['Zeiss Distagon 2/35 ZF.2', 35, 960, 640, 1912.7496],
    ['Canon EF 24-70mm f/2.8L II USM', 24, 960, 640, 1907.4696],
    ['FE 35mm f/1.4 ZA', 35, 960, 640, 1915.2122],
    ['Canon PowerShot G12 & compatibles (Standard)', 6.1, 800, 600, 1568.299],
  ])('draws points of a %s as its library does', async (name, f, half, unit, edge) => {
    const [found] = await findProfiles([name])
    const { distort } = distortionWays(atFocalLength(found!, f))
    expect(half + unit * distort(half / unit, 0)[0]).toBeCloseTo(edge, 3)
  })

  // Of the whole data that library and this agree within 1e-6 in 780 of 780 fall-offs, and in 1704 of 1744 aberrations: the others are of
  // lenses with two measurements at one focal length.
  it('colours and darkens as its library does', async () => {
    const [zoom] = await findProfiles(['Canon EF 24-70mm f/2.8L II USM'])
    const colours = [
      [30, 1.0001229, 1.00008917, 0, 0, -2.47280386e-5, -9.59135104e-6],
      [60, 0.999943495, 0.999899805, 0, 0, -1.7245311e-5, 1.01083324e-5],
    ] as const
    for (const [f, ...wanted] of colours)
      aberrationFor(zoom!.aberration, f).forEach((k, i) => {
        expect(k).toBeCloseTo(wanted[i] as number, 6)
      })
    const dark = [
      [30, 3.4, 3, -0.62717253, 0.297897935, -0.299559027],
      [80, 4, 100, -0.462069541, 0.443604797, -0.452947617],
    ] as const
    for (const [f, n, d, ...wanted] of dark)
      falloffFor(zoom!.falloff, f, n, d)?.forEach((k, i) => {
        expect(k).toBeCloseTo(wanted[i] as number, 5)
      })
    expect(falloffFor(zoom!.falloff, 28, 1.4, 1)).toBeUndefined()
  })
})
