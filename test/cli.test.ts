/** The built program as a person or a script meets it: exit codes, words, one JSON document, nothing left behind. */
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { platefit as run } from './platefit.js'

let folder: string

beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-cli-'))
})
afterEach(() => rm(folder, { recursive: true, force: true }))

const platefit = (...args: string[]) => run(folder, args)

async function problem(...args: string[]) {
  const { code, out, err } = await platefit(...args, '--json')
  expect(err).toBe('')
  expect(code).toBe(2)
  return (JSON.parse(out) as { problem: Record<string, string> }).problem
}

const shot = {
  platefit: 1,
  plate: { file: 'p.mov' },
  elements: [
    { id: 'smoke', file: 's.mov', alpha: 'none', nature: 'absorbs', position: { x: 0, y: 0 }, scale: 1 },
  ],
}
const writeShot = (over: object = {}) =>
  writeFile(join(folder, 'a.shot.json'), JSON.stringify({ ...shot, ...over }))
const readShot = async () => JSON.parse(await readFile(join(folder, 'a.shot.json'), 'utf8'))

describe('help', () => {
  it('names every command and gives an example for each', async () => {
    const { code, out } = await platefit('--help')
    expect(code).toBe(0)
    const commands = [
      'new',
      'diagnose',
      'suit',
      'set',
      'link',
      'measure',
      'fit',
      'render',
      'check',
      'distance',
      'budget',
      'lens',
      'lenses',
      'lens-map',
      'flash',
      'report',
      'cache',
    ]
    for (const c of commands) expect(out).toContain(`\n  ${c} `)
    const helps = await Promise.all(commands.map((c) => platefit(c, '--help')))
    for (const [i, h] of helps.entries()) {
      expect(h.code).toBe(0)
      expect(h.out).toMatch(/Example:\n {2}platefit /)
      expect(h.out, commands[i]).toContain('--json')
    }
  })

  it('takes the treatments from their own declarations', async () => {
    const { out } = await platefit('set', '--help')
    expect(out).toMatch(/lens\.blurRadius\s+1 number, px\s+0 to 256/)
    expect(out).toContain('sensor.grainMix')
  })

  it('knows its version', async () => {
    const pack = JSON.parse(await readFile(new URL('../package.json', import.meta.url), 'utf8'))
    expect((await platefit('--version')).out.trim()).toBe(pack.version)
  })
})

describe('wrong use ends with 2', () => {
  it.each([
    [[]],
    [['frobnicate']],
    [['render', 'a.shot.json']],
    [['render', 'a.shot.json', '--out', 'x', '--format', 'crayon']],
    [['render', 'a.shot.json', '--out', 'x', '--format', 'exr-half', '--frames', '9-3']],
    [['render', 'a.shot.json', '--out', 'x', '--format', 'exr-half', '--memory', 'lots']],
    [['render', 'a.shot.json', '--out', 'x', '--format', 'exr-half', '--workers', '0']],
    [['report', 'a.shot.json', 'b.mov', '--out', 'c.html', '--grade-id', 'b']],
    [['fit']],
    [['fit', 'a.shot.json', 'and', 'more']],
    [['fit', 'a.shot.json', '--fast']],
  ])('%j', async (args) => {
    const said = await platefit(...args)
    expect(said.code).toBe(2)
    expect(said.err).toMatch(/platefit: /)
    expect(said.out).toBe('')
    const p = await problem(...args)
    expect(p.code).toMatch(/^cli\./)
    expect(p.what).not.toBe('')
  })
})

describe('documents', () => {
  it('that are missing, are not JSON, or hold an unknown key are refused with their place', async () => {
    expect(await problem('fit', 'none.shot.json')).toMatchObject({ code: 'engine.document-missing' })
    await writeFile(join(folder, 'a.shot.json'), '{ "platefit": 1,')
    expect(await problem('fit', 'a.shot.json')).toMatchObject({ code: 'shot.not-json' })
    await writeShot({ elements: [{ ...shot.elements[0], scal: 2 }] })
    expect(await problem('fit', 'a.shot.json')).toMatchObject({
      code: 'shot.unknown-key',
      where: 'a.shot.json: elements[0].scal',
      remedy: 'Did you mean "scale"?',
    })
    const text = await platefit('fit', 'a.shot.json')
    expect(text.code).toBe(2)
    expect(text.err).toContain('elements[0].scal')
  })

  it('with several faults list them all', async () => {
    await writeShot({ elements: [{ ...shot.elements[0], scal: 2, alpha: 'green' }] })
    const p = await problem('fit', 'a.shot.json')
    expect(p.faults).toHaveLength(2)
    expect((await platefit('fit', 'a.shot.json')).err).toMatch(/scal[\s\S]*alpha|alpha[\s\S]*scal/)
  })
})

describe('set', () => {
  it('writes a value by hand, negative ones too, and takes it out again', async () => {
    await writeShot()
    const done = await platefit('set', 'a.shot.json', 'smoke', 'light.exposure', '-1.5', '--note', 'by eye')
    expect(done).toMatchObject({ code: 0, err: '' })
    expect((await readShot()).elements[0].treatments).toEqual({
      'light.exposure': { value: [-1.5], evidence: { kind: 'set', note: 'by eye' } },
    })
    const cleared = await platefit('set', 'a.shot.json', 'smoke', 'light.exposure', '--clear', '--json')
    expect(JSON.parse(cleared.out)).toMatchObject({ element: 'smoke', value: null })
    expect((await readShot()).elements[0].treatments).toEqual({})
  })

  it('refuses what does not fit, and changes nothing', async () => {
    await writeShot()
    const before = await readFile(join(folder, 'a.shot.json'), 'utf8')
    const wrong = [
      ['smok', 'light.exposure', '1'],
      ['smoke', 'light.exposur', '1'],
      ['smoke', 'light.exposure', '99'],
      ['smoke', 'light.exposure', 'one'],
      ['smoke', 'light.exposure'],
      ['smoke', 'light.exposure', '1', '--clear'],
    ]
    for (const args of wrong) expect((await platefit('set', 'a.shot.json', ...args)).code).toBe(2)
    expect(await readFile(join(folder, 'a.shot.json'), 'utf8')).toBe(before)
  })
})

describe('link', () => {
  it('weakens a link, leaves it out, takes it in again, and leaves the treatment as it is', async () => {
    await writeShot()
    await platefit('set', 'a.shot.json', 'smoke', 'air.transmittance', '0.8', '0.8', '0.8')
    const { treatments } = (await readShot()).elements[0]
    const said = async (...args: string[]) => {
      const { code, out } = await platefit('link', 'a.shot.json', 'smoke', 'air', ...args, '--json')
      expect(code).toBe(0)
      return JSON.parse(out)
    }
    const of = { shot: 'a.shot.json', element: 'smoke', link: 'air' }
    expect(await said('--strength', '0.6')).toEqual({ ...of, strength: 0.6 })
    expect(await said('--off')).toEqual({ ...of, strength: 0 })
    expect((await readShot()).elements[0].links).toEqual({ air: { strength: 0.6, off: true } })
    expect(await said('--on')).toEqual({ ...of, strength: 0.6 })
    expect(await said('--strength', '1')).toEqual({ ...of, strength: 1 })
    const [element] = (await readShot()).elements
    expect(element).not.toHaveProperty('links')
    expect(element.treatments).toEqual(treatments)
  })

  it('refuses what is no link, no share, or says nothing, and changes nothing', async () => {
    await writeShot()
    const before = await readFile(join(folder, 'a.shot.json'), 'utf8')
    const wrong = [
      ['smok', 'air', '--off'],
      ['smoke', 'wind', '--off'],
      ['smoke', 'air'],
      ['smoke', 'air', '--strength', '1.5'],
      ['smoke', 'air', '--strength', 'half'],
      ['smoke', 'air', '--off', '--on'],
      ['smoke', 'source', '--strength', '0.5'],
    ]
    for (const args of wrong) expect((await platefit('link', 'a.shot.json', ...args)).code).toBe(2)
    expect(await readFile(join(folder, 'a.shot.json'), 'utf8')).toBe(before)
  })
})
