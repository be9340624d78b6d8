/**
 * Wrong and broken input through the built program: what, where, what was expected or received and what to do; exit 2;
 * one JSON problem with --json; and nothing written.
 */
import { execFileSync } from 'node:child_process'
import { existsSync } from 'node:fs'
import { cp, mkdir, mkdtemp, readdir, readFile, rm, stat, unlink, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { NativeFrame, ProblemDetail } from '../src/core/index.js'
import { encodeStill, openSource } from '../src/media/index.js'
import { exrFile } from './media/exrFile.js'
import { cutFile, makeMovie, noise } from './media/fixture.js'
import { platefit } from './platefit.js'
import { SMALL, smallFiles } from './small.js'

const footage =
  process.env.PLATEFIT_FOOTAGE ?? resolve(fileURLToPath(new URL('../../shared/footage', import.meta.url)))

let folder: string
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-bad-'))
  await smallFiles(folder)
})
afterAll(() => rm(folder, { recursive: true, force: true }))

type Change = (shot: Record<string, any>) => void

/** A document with one fault, under a name of its own. */
async function document(name: string, change: Change): Promise<string> {
  const shot = {
    platefit: 1,
    plate: { file: 'plate' },
    elements: [
      { id: 'fire', file: 'fire', alpha: 'on-black', nature: 'emits', position: { x: 80, y: 48 }, scale: 1 },
    ],
  }
  change(shot)
  await writeFile(join(folder, `${name}.shot.json`), JSON.stringify(shot))
  return `${name}.shot.json`
}

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
    for (const said of [p.what, p.where, p.expected, p.received, p.remedy]) expect(text.err).toContain(said ?? '')
    expect(text.err, 'no defect').not.toMatch(/\bat .*\.js:\d+/)
  }
  return problem
}

describe('files', () => {
  it('that are missing', async () => {
    const plate = await document('no-plate', (s) => (s.plate.file = 'nowhere.mov'))
    expect(await refused(plate, 'o')).toMatchObject({
      code: 'media.file-missing',
      where: expect.stringContaining('nowhere.mov'),
    })
    const element = await document('no-element', (s) => (s.elements[0].file = 'fire/none.####.png'))
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
      ['headless.mp4', 'media.file-unreadable'],
      ['tailless.mp4', 'media.file-cut-short'],
    ] as const) {
      const plate = await document(file, (s) => (s.plate.file = file))
      expect(await refused(plate, 'o')).toMatchObject({ code, where: expect.stringContaining(file) })
      const element = await document(`${file}-as-element`, (s) => (s.elements[0].file = file))
      expect(await refused(element, 'o')).toMatchObject({ code, where: expect.stringContaining(file) })
    }
  })

  it('that are text under a name of a movie', async () => {
    await writeFile(join(folder, 'text.mov'), 'scene 12, take 3\n'.repeat(100))
    const shot = await document('text', (s) => (s.plate.file = 'text.mov'))
    expect(await refused(shot, 'o')).toMatchObject({
      code: 'media.file-unreadable',
      where: expect.stringContaining('text.mov'),
    })
  })

  it('of a sequence with a hole', async () => {
    await cp(join(folder, 'plate'), join(folder, 'hole'), { recursive: true })
    const names = (await readdir(join(folder, 'hole'))).sort()
    await unlink(join(folder, 'hole', names[2] as string))
    const shot = await document('hole', (s) => (s.plate.file = 'hole'))
    const problem = await refused(shot, 'o')
    expect(problem).toMatchObject({ code: 'media.sequence-hole', where: expect.stringContaining('hole') })
    expect(problem.received).toContain('3')
  })

  it.skipIf(!existsSync(join(footage, 'exr/Flowers.exr')))('EXR with subsampled chroma', async () => {
    const flowers = join(footage, 'exr/Flowers.exr')
    for (const change of [
      (s: any) => (s.plate.file = flowers),
      (s: any) => (s.elements[0].file = flowers),
    ]) {
      const problem = await refused(await document('flowers', change), 'o')
      expect(problem).toMatchObject({ code: 'media.exr-subsampled-chroma', where: expect.stringContaining('Flowers.exr') })
    }
  })
})

describe('ranges', () => {
  it('of no length, and beyond the plate, in the document', async () => {
    const none = await document('none', (s) => (s.plate.frames = { first: 0, count: 0 }))
    expect((await refused(none, 'o')).where).toContain('plate.frames.count')
    const beyond = await document('beyond', (s) => (s.plate.frames = { first: 2, count: 9 }))
    expect(await refused(beyond, 'o')).toMatchObject({ where: 'plate.frames', received: '2 to 10' })
  })

  it('outside the shot, as an argument', async () => {
    const shot = await document('good', () => {})
    expect(await refused(shot, 'o', '--frames', '90-99')).toMatchObject({ code: 'engine.no-such-frames', received: '90 to 99' })
    expect(await refused(shot, 'o', '--frames', '2-4')).toMatchObject({ expected: expect.stringContaining('0 to 3') })
  })
})

it('an element larger than the memory allows is refused before the work starts', async () => {
  const [width, height] = [2400, 1600]
  await writeFile(join(folder, 'huge.png'), await encodeStill(new Uint8Array(width * height * 3), width, height, 'png'))
  const shot = await document('huge', (s) => (s.elements[0].file = 'huge.png'))
  const problem = await refused(shot, 'o', '--memory', '64M')
  expect(problem).toMatchObject({ code: 'engine.too-large', expected: 'at most 64 MiB' })
  expect(problem.where).toMatch(/fire.*2400×1600/)
  expect(problem.remedy).toContain('--memory')
})

it('an unknown key is refused by its path, with the nearest key there is', async () => {
  const deep = await document('key', (s) => (s.elements[0].position.z = 1))
  expect(await refused(deep, 'o')).toMatchObject({ code: 'shot.unknown-key', where: 'key.shot.json: elements[0].position.z' })
  const near = await document('near', (s) => (s.plate.framse = { first: 0, count: 2 }))
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
      expect(await refused(shot, 'disk/new/fx.####.png')).toMatchObject({ code: 'media.disk-full', where: expect.stringContaining('disk') })
      expect(await readdir(disk)).toEqual([])
    } finally {
      execFileSync('umount', [disk])
    }
  })
})

describe('values that are no light', () => {
  const RADIUS = 6
  /** A disc of that radius, a pixel for its soft edge, one for the neighbours that a replaced value comes from. */
  const REACH = RADIUS + 2
  type Bad = readonly (readonly [channel: 'R' | 'G' | 'B' | 'A', x: number, y: number, value: number])[]
  const faults: Bad = [
    ['R', 20, 20, Number.NaN],
    ['G', 21, 20, Number.NaN],
    ['A', 44, 12, Number.NaN],
    ['B', 40, 30, Number.POSITIVE_INFINITY],
    ['R', 8, 38, Number.NEGATIVE_INFINITY],
    ['A', 55, 40, Number.POSITIVE_INFINITY],
  ]

  /** A soft picture, the same with and without its faults. */
  async function exr(name: string, width: number, height: number, bad: Bad): Promise<void> {
    const plane = (level: number) =>
      Float32Array.from({ length: width * height }, (_, i) => level * (0.5 + 0.3 * Math.sin(i / 9) + (i % width) / width))
    const channels = { A: new Float32Array(width * height).fill(0.75), B: plane(0.1), G: plane(0.2), R: plane(0.3) }
    for (const [c, x, y, value] of bad) channels[c][y * width + x] = value
    const window = [0, 0, width, height] as const
    await writeFile(join(folder, name), exrFile({ channels, data: window, display: window }))
  }

  async function rendered(name: string, change: Change) {
    const shot = await document(name, (s) => {
      s.plate.frames = { first: 0, count: 1 }
      const blur = { value: [RADIUS], evidence: { kind: 'set' } }
      Object.assign(s.elements[0], { alpha: 'premultiplied', nature: 'reflects', treatments: { 'lens.blurRadius': blur } })
      change(s)
    })
    const out = `${name}/r.####.exr`
    const said = await platefit(folder, ['render', shot, '--format', 'exr-half', '--out', out, '--json'])
    expect(said, said.out).toMatchObject({ code: 0, err: '' })
    const { findings } = JSON.parse(said.out) as { findings: ProblemDetail[] }
    const source = await openSource(join(folder, out))
    const { value: frame } = await source.frames().next()
    for (const p of frame!.planes) expect(p.data.every((v) => Number.isFinite(v))).toBe(true)
    return { frame: frame!, found: findings.filter((f) => f.code === 'chain.not-finite') }
  }

  /** Samples that differ between the two, and whether each lies within `reach` of a fault that `left`, `top` move. */
  function strayed(a: NativeFrame, b: NativeFrame, bad: Bad, left: number, top: number, reach: number) {
    let [differ, beyond] = [0, 0]
    for (let y = 0; y < a.height; y++) {
      for (let x = 0; x < a.width; x++) {
        const at = y * a.width + x
        if (a.planes.every((p, c) => Object.is(p.data[at], b.planes[c]!.data[at]))) continue
        differ++
        if (!bad.some(([, u, v]) => Math.hypot(x - u - left, y - v - top) <= reach)) beyond++
      }
    }
    return { differ, beyond }
  }

  it('in an element: replaced, told, and no blur spreads them', async () => {
    await exr('bad.exr', 64, 48, faults)
    await exr('good.exr', 64, 48, [])
    const use = (file: string) => (s: any) => (s.elements[0].file = file)
    const bad = await rendered('bad-element', use('bad.exr'))
    const good = await rendered('good-element', use('good.exr'))
    expect(good.found).toEqual([])
    expect(bad.found).toMatchObject([
      { where: 'bad.exr', received: '3 NaN and 3 infinite values on frames 0', what: expect.stringContaining('NaN') },
    ])
    // The element's centre lies on the plate's: its corner stands at 48, 24.
    const { differ, beyond } = strayed(bad.frame, good.frame, faults, 48, 24, REACH)
    expect(differ).toBeGreaterThan(50)
    expect(beyond).toBe(0)
    // A missing value comes from its neighbours: around NaN alone the picture hardly changes.
    const around = (f: NativeFrame) => f.planes[0]!.data[44 * SMALL.width + 68]!
    expect(Math.abs(around(bad.frame) / around(good.frame) - 1)).toBeLessThan(0.02)
  })

  it('in a plate: replaced where they are, told, and every other pixel as it was', async () => {
    const inPlate = faults.filter(([c]) => c !== 'A').concat([['R', 70, 50, Number.NaN]])
    await exr('bad-plate.exr', SMALL.width, SMALL.height, inPlate)
    await exr('good-plate.exr', SMALL.width, SMALL.height, [])
    await exr('good.exr', 64, 48, [])
    const use = (file: string) => (s: any) => {
      s.plate.file = file
      s.elements[0].file = 'good.exr'
    }
    const bad = await rendered('bad-plate', use('bad-plate.exr'))
    const good = await rendered('good-plate', use('good-plate.exr'))
    expect(good.found).toEqual([])
    expect(bad.found).toMatchObject([{ where: 'bad-plate.exr', received: '3 NaN and 2 infinite values on frames 0' }])
    expect(strayed(bad.frame, good.frame, inPlate, 0, 0, 0)).toEqual({ differ: 5, beyond: 0 })
  })

  const rings = join(footage, 'exr/Test_BrightRingsNanInf.exr')
  it.skipIf(!existsSync(rings))('in a published test picture, as plate and as element', async () => {
    const element = await rendered('rings-element', (s) => Object.assign(s.elements[0], { file: rings, alpha: 'on-black', nature: 'emits', scale: 0.1 }))
    expect(element.found).toMatchObject([{ where: rings, received: expect.stringMatching(/^[1-9]\d* NaN and [1-9]\d* infinite/) }])
    const plate = await rendered('rings-plate', (s) => (s.plate.file = rings))
    expect(plate.found).toMatchObject([{ where: rings, received: expect.stringMatching(/^[1-9]\d* NaN and [1-9]\d* infinite/) }])
  })
})
