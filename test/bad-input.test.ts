/**
 * Wrong and broken input through the built program: what, where, what was expected or received and what to do; exit 2;
 * one JSON problem with --json; and nothing written.
 */
import { execFileSync } from 'node:child_process'
import { cp, mkdir, mkdtemp, readdir, readFile, rm, stat, unlink, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { ProblemDetail } from '../src/core/index.js'
import { encodeStill } from '../src/media/index.js'
import { type Change, changedShot, type Loose } from './faulty.js'
import { exrFile } from './media/exrFile.js'
import { cutFile, makeMovie, noise } from './media/fixture.js'
import { platefit } from './platefit.js'
import { smallFiles } from './small.js'

let folder: string
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-bad-'))
  await smallFiles(folder)
})
afterAll(() => rm(folder, { recursive: true, force: true }))

const document = (name: string, change: Change) => changedShot(folder, name, change)

async function listing(): Promise<string[]> {
  const names = (await readdir(folder, { recursive: true })).sort()
  // Folders by name alone: a file that comes and goes leaves its time there.
  const facts = async (name: string) => {
    const s = await stat(join(folder, name))
    return s.isDirectory() ? name : `${name} ${s.mtimeMs}`
  }
  return Promise.all(names.map(facts))
}

/** Renders for a person and for a machine; gives the problem after looking at all that every problem owes. */
async function refused(shot: string, out: string, ...more: string[]): Promise<ProblemDetail> {
  const before = await listing()
  const args = ['render', shot, '--format', 'png-16', '--out', out, ...more]
  const text = await platefit(folder, args)
  const json = await platefit(folder, [...args, '--json'])
  expect(await listing()).toEqual(before)
  expect([text.code, json.code, text.out, json.err]).toEqual([2, 2, '', ''])
  const { problem } = JSON.parse(json.out) as { problem: ProblemDetail }
  for (const p of problem.faults ?? [problem]) {
    expect(p).toMatchObject({ code: expect.stringMatching(/^[a-z]+\.[a-z0-9-]+$/), what: expect.any(String) })
    expect(p.where, 'where').toBeTruthy()
    expect(p.expected ?? p.received, 'expected or received').toBeTruthy()
    expect(p.remedy ?? (p.expected && p.received), 'what to do').toBeTruthy()
    for (const said of [p.what, p.where, p.expected, p.received, p.remedy])
      expect(text.err).toContain(said ?? '')
    expect(text.err, 'no defect').not.toMatch(/\bat .*\.js:\d+/)
  }
  return problem
}

describe('files', () => {
  it('that are missing', async () => {
    const plate = await document('no-plate', (plate) => (plate.file = 'nowhere.mov'))
    expect(await refused(plate, 'o')).toMatchObject({
      code: 'media.file-missing',
      where: expect.stringContaining('nowhere.mov'),
    })
    const element = await document('no-element', (_, element) => (element.file = 'fire/none.####.png'))
    expect(await refused(element, 'o')).toMatchObject({
      code: 'media.file-missing',
      where: expect.stringContaining('none.####.png'),
    })
  })

  it('that are cut short: a movie without its index, and one whose end is lost', async () => {
    const m = {
      encoder: 'libx264',
      format: 'yuv420p',
      width: 160,
      height: 96,
      frames: [1, 2, 3, 4, 5, 6].map((seed) => noise('yuv420p', 160, 96, 8, seed)),
    }
    await makeMovie(join(folder, 'whole.mp4'), m)
    await makeMovie(join(folder, 'front.mp4'), { ...m, muxer: { movflags: '+faststart' } })
    await cutFile(join(folder, 'whole.mp4'), join(folder, 'headless.mp4'), 0.6)
    await cutFile(join(folder, 'front.mp4'), join(folder, 'tailless.mp4'), 0.6)
    for (const [file, code] of [
      ['headless.mp4', 'media.index-missing'],
      ['tailless.mp4', 'media.file-cut-short'],
    ] as const) {
      const plate = await document(file, (plate) => (plate.file = file))
      expect(await refused(plate, 'o')).toMatchObject({ code, where: expect.stringContaining(file) })
      const element = await document(`${file}-as-element`, (_, element) => (element.file = file))
      expect(await refused(element, 'o')).toMatchObject({ code, where: expect.stringContaining(file) })
    }
  })

  it('that are text under a name of a movie', async () => {
    await writeFile(join(folder, 'text.mov'), 'scene 12, take 3\n'.repeat(100))
    const shot = await document('text', (plate) => (plate.file = 'text.mov'))
    expect(await refused(shot, 'o')).toMatchObject({
      code: 'media.file-unreadable',
      where: expect.stringContaining('text.mov'),
    })
  })

  it('of a sequence with a hole', async () => {
    await cp(join(folder, 'plate'), join(folder, 'hole'), { recursive: true })
    const names = (await readdir(join(folder, 'hole'))).sort()
    await unlink(join(folder, 'hole', names[2] as string))
    const shot = await document('hole', (plate) => (plate.file = 'hole'))
    const problem = await refused(shot, 'o')
    expect(problem).toMatchObject({ code: 'media.sequence-hole', where: expect.stringContaining('hole') })
    expect(problem.received).toContain('3')
  })

  it('EXR of whole numbers', async () => {
    const path = join(folder, 'integers.exr')
    const v = Float32Array.from([1, 2])
    const whole = { type: 'uint' } as const
    const kinds = { B: whole, G: whole, R: whole }
    await writeFile(
      path,
      exrFile({ channels: { B: v, G: v, R: v }, kinds, data: [0, 0, 2, 1], display: [0, 0, 2, 1] }),
    )
    for (const change of [
      (plate: Loose) => (plate.file = path),
      (_: Loose, element: Loose) => (element.file = path),
    ]) {
      const problem = await refused(await document('integers', change), 'o')
      expect(problem).toMatchObject({
        code: 'media.exr-integers',
        where: expect.stringContaining('integers.exr'),
      })
    }
  })
})

describe('ranges', () => {
  it('of no length, and beyond the plate, in the document', async () => {
    const none = await document('none', (plate) => (plate.frames = { first: 0, count: 0 }))
    expect((await refused(none, 'o')).where).toContain('plate.frames.count')
    const beyond = await document('beyond', (plate) => (plate.frames = { first: 2, count: 9 }))
    expect(await refused(beyond, 'o')).toMatchObject({ where: 'plate.frames', received: '2 to 10' })
  })

  it('outside the shot, as an argument', async () => {
    const shot = await document('good', () => {})
    expect(await refused(shot, 'o', '--frames', '90-99')).toMatchObject({
      code: 'engine.no-such-frames',
      received: '90 to 99',
    })
    expect(await refused(shot, 'o', '--frames', '2-4')).toMatchObject({
      expected: expect.stringContaining('0 to 3'),
    })
  })
})

it('an element larger than the memory allows is refused before the work starts', async () => {
  const [width, height] = [2400, 1600]
  await writeFile(
    join(folder, 'huge.png'),
    await encodeStill(new Uint8Array(width * height * 3), width, height, 'png'),
  )
  const shot = await document('huge', (_, element) => (element.file = 'huge.png'))
  const problem = await refused(shot, 'o', '--memory', '64M')
  expect(problem).toMatchObject({ code: 'engine.too-large', expected: 'at most 64 MiB' })
  expect(problem.where).toMatch(/fire.*2400×1600/)
  expect(problem.remedy).toContain('--memory')
})

it('an unknown key is refused by its path, with the nearest key there is', async () => {
  const deep = await document('key', (_, element) => (element.position = { x: 80, y: 48, z: 1 }))
  expect(await refused(deep, 'o')).toMatchObject({
    code: 'shot.unknown-key',
    where: 'key.shot.json: elements[0].position.z',
  })
  const near = await document('near', (plate) => (plate.framse = { first: 0, count: 2 }))
  const problem = await refused(near, 'o')
  expect(problem).toMatchObject({ where: 'near.shot.json: plate.framse', remedy: 'Did you mean "frames"?' })
})

describe('outputs', () => {
  it('that cannot be made', async () => {
    const shot = await document('good', () => {})
    await writeFile(join(folder, 'stands'), 'a file where a folder must be')
    const problem = await refused(shot, 'stands/fx.####.png')
    expect(problem).toMatchObject({ code: 'media.cannot-write', where: expect.stringContaining('stands') })
    expect(await readFile(join(folder, 'stands'), 'utf8')).toContain('a file')
    expect(await refused(shot, 'fx.####.mov')).toMatchObject({ code: 'media.wrong-extension' })
  })

  it('that would take the place of what they are made from', async () => {
    const shot = await document('good', () => {})
    for (const out of [
      'plate/plate.####.png',
      'plate',
      'fire/fire.####.png',
      'fire/../plate/plate.####.png',
    ]) {
      expect(await refused(shot, out)).toMatchObject({ code: 'media.output-is-input' })
    }
    const movie = await document('movie', (plate) => (plate.file = 'silent.mov'))
    const frames = [noise('yuv422p10le', 64, 32, 10, 1)]
    const film = { encoder: 'prores_ks', format: 'yuv422p10le', width: 64, height: 32, frames }
    await makeMovie(join(folder, 'silent.mov'), film)
    const over = ['--format', 'prores-422-hq']
    expect(await refused(movie, 'silent.mov', ...over)).toMatchObject({ code: 'media.output-is-input' })
    expect(await refused(movie, 'movie.shot.json', ...over)).toMatchObject({ code: 'media.wrong-extension' })
  })

  it('on a full disk', async (context) => {
    const disk = join(folder, 'disk')
    await mkdir(disk)
    try {
      execFileSync('mount', ['-t', 'tmpfs', '-o', 'size=32k', 'tmpfs', disk], { stdio: 'ignore' })
    } catch {
      return context.skip('a small file system cannot be mounted here')
    }
    try {
      const shot = await document('good', () => {})
      expect(await refused(shot, 'disk/new/fx.####.png')).toMatchObject({
        code: 'media.disk-full',
        where: expect.stringContaining('disk'),
      })
      expect(await readdir(disk)).toEqual([])
    } finally {
      execFileSync('umount', [disk])
    }
  })
})
