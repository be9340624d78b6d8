import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { curveOf, readCube } from '../colour/index.js'
import type { ColourEncoding } from '../core/index.js'
import { gradedView, readGrade } from './grade.js'
import { plateView } from './view.js'

const plate: ColourEncoding = {
  range: 'limited',
  matrix: 'bt709',
  curve: 'bt709',
  primaries: 'bt709',
  siting: 'left',
}
const correction = (id: string) =>
  `<ColorCorrection id="${id}"><SOPNode><Slope>1.1 1 0.9</Slope><Offset>0.01 0 -0.02</Offset><Power>1 0.95 1.05</Power></SOPNode><SatNode><Saturation>0.85</Saturation></SatNode></ColorCorrection>`
let folder = ''

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'grade-'))
  await writeFile(join(folder, 'one.cc'), correction('dusk').replace(' id', ' xmlns="urn:ASC:CDL:v1.01" id'))
  await writeFile(
    join(folder, 'two.ccc'),
    `<ColorCorrectionCollection xmlns="urn:ASC:CDL:v1.01">${correction('dusk')}${correction('dawn')}</ColorCorrectionCollection>`,
  )
})
afterAll(() => rm(folder, { recursive: true }))

it('grades code values as the published form has it, for one colour and for pictures, with or without a table', async () => {
  const grade = await readGrade(join(folder, 'one.cc'))
  expect(grade.name).toBe('one.cc, dusk')
  const light = curveOf('bt709').decode(0.18)
  const table = readCube('LUT_1D_SIZE 2\n0 0 0\n1 1 1', 'identity')
  for (const view of [plateView(plate), plateView(plate, { name: 'identity', table })]) {
    const graded = gradedView(view, plate, grade)
    // By hand from [asccdl]: see the example beside the model.
    const wanted = [0.205867, 0.195764, 0.138544]
    const one = graded.colour([light, light, light])
    const data = Float32Array.of(light / 2, light / 2, light / 2, 1)
    const picture = graded.image({ region: { x: 0, y: 0, width: 1, height: 1 }, data }, { stops: 1 })
    wanted.forEach((v, c) => {
      expect(one[c]).toBeCloseTo(v, 5)
      expect(Math.abs((picture[c] as number) - 255 * v)).toBeLessThanOrEqual(1)
    })
    expect(data[0]).toBe(Math.fround(light / 2))
    expect(graded.words).toContain('Graded by one.cc, dusk')
  }
})

it('asks which of several corrections is meant, and says what a file lacks', async () => {
  const two = join(folder, 'two.ccc')
  expect((await readGrade(two, 'dawn')).name).toBe('two.ccc, dawn')
  await expect(readGrade(two)).rejects.toMatchObject({
    detail: { code: 'report.grade-which', received: 'dusk, dawn' },
  })
  await expect(readGrade(two, 'noon')).rejects.toMatchObject({ detail: { expected: 'one of dusk, dawn' } })
  await expect(readGrade(join(folder, 'none.cc'))).rejects.toMatchObject({
    detail: { code: 'report.grade-unreadable' },
  })
})
