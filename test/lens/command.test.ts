/** `lens`, `lenses` and `lens-map` as a person or a script meets them: exit codes, words, JSON, and the document after them. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { encodeStill } from '../../src/media/index.js'
import { platefit as run } from '../platefit.js'
import { linedFrame } from '../roundtrips/lined.js'
import { normal } from '../worlds/chance.js'

const folder = mkdtempSync(join(tmpdir(), 'platefit-lens-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))
const platefit = async (...args: string[]) => {
  const { code, out } = await run(folder, [...args, '--json'])
  return { code, json: JSON.parse(out) }
}
const shot = (name: string, plate: object, camera = {}) => {
  writeFileSync(join(folder, name), JSON.stringify({ platefit: 1, plate: { still: true, ...plate }, camera }))
  return name
}
const lensOf = (name: string) =>
  JSON.parse(readFileSync(join(folder, name), 'utf8')).plate.treatments?.['lens.distortion']

/** Strips before an even wall through a barrel of −0.03. */
async function strips(): Promise<Uint8Array> {
  const data = Float32Array.of(0.3, 0.3, 0.3, 1)
  const wall = { name: 'wall', image: { region: { x: 0, y: 0, width: 1, height: 1 }, data } }
  const { region, data: light } = linedFrame(wall, [-0.03, 0], 5, 2)
  const { width, height } = region
  const rgb = Uint8Array.from({ length: 3 * width * height }, (_, i) => {
    const v = 255 * Math.sqrt(light[4 * Math.floor(i / 3) + (i % 3)]!) + 0.7 * normal(7, i)
    return Math.min(255, Math.max(0, Math.round(v)))
  })
  return encodeStill(rgb, width, height, 'png')
}

beforeAll(async () => {
  writeFileSync(
    join(folder, 'flat.png'),
    await encodeStill(new Uint8Array(3 * 96 * 64).fill(90), 96, 64, 'png'),
  )
  writeFileSync(join(folder, 'lines.png'), await strips())
})

it('writes what lines tell, and as a map', async () => {
  const name = shot('lines.shot.json', { file: 'lines.png' })
  const { code, json } = await platefit('lens', name)
  expect(code).toBe(0)
  expect(Math.abs(json.distortion.value.terms[0] / -0.03 - 1)).toBeLessThan(0.02)
  expect(lensOf(name)).toMatchObject({ evidence: { kind: 'measured', frames: [0] } })
  const map = await platefit('lens-map', name, '--out', 'maps/lens.exr')
  expect(map).toMatchObject({ code: 0, json: { files: ['maps/lens.exr'] } })
  const back = await platefit('lens', name, '--map', 'maps/lens.exr')
  expect(back.code).toBe(0)
  expect(lensOf(name)).toMatchObject({
    form: 'map',
    evidence: { kind: 'derived', inputs: { file: 'maps/lens.exr' } },
  })
})

it('ends with 1 where nothing tells it, and leaves the document', async () => {
  const name = shot('flat.shot.json', { file: 'flat.png' })
  const { code, json } = await platefit('lens', name)
  expect(code).toBe(1)
  expect(json.distortion.cannotTell).toMatch(/^of 0 long smooth curves/)
  const board = await platefit('lens', name, '--board', 'chessboard', '--footage', 'flat.png')
  expect(board.code).toBe(1)
  expect(board.json.distortion.cannotTell).toMatch(/found in 0 different views of 1 frames/)
  expect(lensOf(name)).toBeUndefined()
})

it('ends with 2 where it is asked wrongly, and where a person has set it', async () => {
  const name = shot('flat.shot.json', { file: 'flat.png' })
  const problem = async (...args: string[]) => {
    const { code, json } = await platefit(...args)
    expect(code).toBe(2)
    return json.problem.code as string
  }
  const codes = await Promise.all([
    problem('lens', name, '--board', 'dots'),
    problem('lens', name, '--board', 'charuco', '--footage', 'flat.png'),
    problem('lens', name, '--board', 'dots', '--map', 'a.exr'),
    problem('lens', name, '--region', '0,0,10'),
    problem('lens', name, '--profile', 'anything'),
    problem('lenses', '--folder', 'none'),
    problem('lens-map', name, '--out', 'a.exr'),
  ])
  expect(codes).toEqual([
    ...['cli.usage', 'cli.usage', 'cli.usage', 'cli.value'],
    ...['lens.profile-needs', 'lens.no-profiles', 'lens.nothing-bent'],
  ])
  expect(
    (await platefit('set', name, 'plate', 'lens.distortion', '0.1', '0', '--form', 'division')).code,
  ).toBe(0)
  expect(lensOf(name)).toMatchObject({ value: [0.1, 0], form: 'division' })
  expect(await problem('lens', name)).toBe('lens.set-by-hand')
  expect(await problem('set', name, 'plate', 'lens.distortion', '0.1', '--form', 'cubic')).toBe(
    'shot.unknown-form',
  )
})
