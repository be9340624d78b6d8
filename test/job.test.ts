/** The whole job through the built program, on files small enough to take seconds: new, fit, render, check, report. */
import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { platefit as run } from './platefit.js'
import { smallFiles } from './small.js'

let folder: string
const platefit = (...args: string[]) => run(folder, args)
const RENDER = ['render', 'a.shot.json', '--format', 'png-16', '--out']

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-job-'))
  await smallFiles(folder)
  await smallFiles(join(folder, 'long'), 240)
  const made = await platefit('new', '--plate', 'plate', '--element', 'fire', '--out', 'a.shot.json')
  expect(made).toMatchObject({ code: 0, err: '' })
})
afterAll(() => rm(folder, { recursive: true, force: true }))

async function json(...args: string[]) {
  const { code, out, err } = await platefit(...args, '--json')
  expect(err).toBe('')
  return { code, said: JSON.parse(out) }
}

it('new writes relative paths and says its guesses', async () => {
  const shot = JSON.parse(await readFile(join(folder, 'a.shot.json'), 'utf8'))
  expect(shot.plate.file).toBe('plate')
  expect(shot.elements[0]).toMatchObject({ id: 'fire', file: 'fire', alpha: 'on-black', nature: 'emits' })
  expect(shot.elements[0].position).toEqual({ x: 80, y: 48 })
  const again = await platefit('new', '--plate', 'plate', '--out', 'a.shot.json')
  expect(again.code).toBe(2)
  expect(again.err).toContain('already')
})

it('diagnose says what is known and what is assumed', async () => {
  const text = await platefit('diagnose', 'plate')
  expect(text.code).toBe(0)
  expect(text.out).toMatch(/picture\s+160×96, rgb 16 bit/)
  expect(text.out).toMatch(/rate\s+24\/1 frames\/s\s+assumed: /)
  const { code, said } = await json('diagnose', 'plate', 'nowhere.mov')
  expect(code).toBe(2)
  expect(said.files[0].info).toMatchObject({ width: 160, frameCount: 4 })
  expect(said.files[1].problem.code).toBe('media.file-missing')
})

it('measure changes nothing; fit writes treatments with evidence and keeps what a hand set', async () => {
  const before = await readFile(join(folder, 'a.shot.json'), 'utf8')
  const measured = await json('measure', 'a.shot.json')
  expect(measured.code).toBe(0)
  expect(measured.said.ledger.length).toBeGreaterThan(0)
  expect(await readFile(join(folder, 'a.shot.json'), 'utf8')).toBe(before)

  expect((await platefit('set', 'a.shot.json', 'fire', 'lens.blurRadius', '1.25')).code).toBe(0)
  const fitted = await json('fit', 'a.shot.json')
  expect(fitted.code).toBe(0)
  const { treatments } = JSON.parse(await readFile(join(folder, 'a.shot.json'), 'utf8')).elements[0]
  expect(treatments['lens.blurRadius']).toEqual({ value: [1.25], evidence: { kind: 'set' } })
  const others = Object.values(treatments) as { evidence?: { kind: string }; cannotTell?: string }[]
  expect(others.length).toBeGreaterThan(1)
  for (const t of others) expect(t.evidence?.kind ?? t.cannotTell).toBeTruthy()
})

it('render, check and report end well and leave what they promise', async () => {
  const rendered = await json(...RENDER, 'fx/fx.####.png', '--digests')
  expect(rendered.code).toBe(0)
  expect(rendered.said.frames).toHaveLength(4)
  expect(rendered.said.frames[0].sha256).toMatch(/^[0-9a-f]{64}$/)
  expect((await readdir(join(folder, 'fx'))).filter((f) => !f.endsWith('.png'))).toEqual([])

  const part = await json(
    ...RENDER,
    'part/p.####.png',
    '--frames',
    '1-2',
    '--workers',
    '1',
    '--variant',
    'plain',
  )
  expect(part.said.frames.map((f: { frame: number }) => f.frame)).toEqual([1, 2])

  const checked = await json('check', 'a.shot.json', 'fx/fx.####.png')
  const open = checked.said.tells.filter((t: { meant: boolean }) => !t.meant)
  expect(checked.code).toBe(open.length > 0 ? 1 : 0)

  const page = await json('report', 'a.shot.json', 'fx/fx.####.png', '--out', 'page.html')
  expect(page.code).toBe(0)
  const html = await readFile(join(folder, 'page.html'), 'utf8')
  expect(html.length).toBeLessThan(8e6)
  expect(html).toContain('<html')
})

it('a tell that is marked as meant stays quiet', async () => {
  await platefit(...RENDER, 'plain/p.####.png', '--variant', 'plain')
  const { said } = await json('check', 'a.shot.json', 'plain/p.####.png')
  for (const t of said.tells as { tell: string; element?: string }[]) {
    const name = t.element === undefined ? t.tell : `${t.tell}:${t.element}`
    const marked = await json('check', 'a.shot.json', 'plain/p.####.png', '--meant', name)
    const same = marked.said.tells.find((o: typeof t) => o.tell === t.tell && o.element === t.element)
    expect(same.meant).toBe(true)
  }
  expect((await json('check', 'a.shot.json', 'plain/p.####.png')).code).toBe(0)
  const wrong = await json('check', 'a.shot.json', 'plain/p.####.png', '--meant', 'nonsense')
  expect(wrong).toMatchObject({ code: 2, said: { problem: { code: 'cli.value' } } })
})

it('Ctrl-C ends with 130 and leaves nothing under a final name', async () => {
  await writeFile(
    join(folder, 'long.shot.json'),
    (await readFile(join(folder, 'a.shot.json'), 'utf8')).replace('"file": "plate"', '"file": "long/plate"'),
  )
  const out = join(folder, 'stopped')
  const ended = await run(
    folder,
    ['render', 'long.shot.json', '--format', 'png-16', '--out', 'stopped'],
    (child) => {
      const wait = setInterval(async () => {
        const begun = await readdir(folder).then((all) => all.some((f) => f.includes('stopped')))
        if (begun) {
          clearInterval(wait)
          child.kill('SIGINT')
        }
      }, 20)
      child.on('exit', () => clearInterval(wait))
    },
  )
  expect(ended.code).toBe(130)
  expect(ended.err).toContain('Stopped')
  // Whole frames may stay in a hidden folder for the next call (`resume.test.ts`).
  const left = await readdir(out, { recursive: true }).catch(() => [])
  expect(left.filter((f) => !f.startsWith('.'))).toEqual([])
  expect((await readdir(folder)).filter((f) => f.includes('stopped') && f !== 'stopped')).toEqual([])
})

it.each([
  ['a missing plate', { file: 'nowhere.mov' }, []],
  ['a plate that is text', { file: 'text.mov' }, []],
  ['frames past the end', {}, ['--frames', '90-99']],
])('bad input ends with 2 and writes nothing: %s', async (_, plate, more) => {
  await writeFile(join(folder, 'text.mov'), 'this is no film')
  const shot = JSON.parse(await readFile(join(folder, 'a.shot.json'), 'utf8'))
  await writeFile(
    join(folder, 'bad.shot.json'),
    JSON.stringify({ ...shot, plate: { ...shot.plate, ...plate } }),
  )
  const args = ['render', 'bad.shot.json', '--format', 'exr-half', '--out', 'bad-out/b.####.exr', ...more]
  const { code, said } = await json(...args)
  expect(code).toBe(2)
  expect(said.problem.what).toBeTruthy()
  expect(await readdir(folder)).not.toContain('bad-out')
})
