/**
 * ARCHITECTURE rule 7 for renders that are broken off: whatever kills or stops one, the next call goes on, and the file is
 * the one that an unbroken call makes. `PLATEFIT_KILLS` sets the number of kills for each format.
 */
import { mkdir, mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { type Job, type Progress, renderShot } from '../src/engine/index.js'
import { createWriter, type DeliveryFormat } from '../src/media/index.js'
import { parseShot, type Shot } from '../src/shot/index.js'
import { noise, picture } from './media/pictures.js'
import { platefit } from './platefit.js'
import { pictures } from './small.js'

const KILLS = Number(process.env.PLATEFIT_KILLS ?? 4)
const FRAMES = 100
const SIZE = [64, 48] as const

let folder: string
let shot: Shot

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-resume-'))
  await writeFile(join(folder, 'tone.wav'), tone())
  const writer = await createWriter(join(folder, 'plate.mov'), {
    format: 'prores-422-hq',
    width: SIZE[0],
    height: SIZE[1],
    rate: { num: 25, den: 1 },
    encoding: { range: 'limited', matrix: 'bt709', curve: 'bt709', primaries: 'bt709', siting: 'left' },
    timecode: '10:00:00:00',
    audioFrom: { path: join(folder, 'tone.wav'), startSeconds: 0, seconds: FRAMES / 25 },
  })
  for (let i = 0; i < FRAMES; i++) await writer.write(picture(writer.layout, ...SIZE, 'noise', i))
  await writer.finish()
  await pictures(join(folder, 'fire', 'fire.####.png'), 32, 24, 9, (x, y, f) => {
    const v = Math.max(0, 1 - Math.hypot((x - 16) / 12, (y - 12 - f) / 10))
    return [v, v * 0.6, v * 0.2]
  })
  const fire = {
    id: 'fire',
    file: 'fire',
    alpha: 'on-black',
    nature: 'emits',
    position: { x: 30, y: 24 },
    scale: 1.3,
  }
  const text = JSON.stringify({ platefit: 1, plate: { file: 'plate.mov' }, elements: [fire] })
  shot = parseShot(text, 'test')
  await writeFile(join(folder, 'a.shot.json'), text)
})
afterAll(() => rm(folder, { recursive: true, force: true }))

/** Four seconds of a sine, 16 bit, 48 kHz, one channel. */
function tone(): Buffer {
  const count = 4 * 48_000
  const file = Buffer.alloc(44 + 2 * count)
  file.write('RIFF\0\0\0\0WAVEfmt ', 0, 'latin1')
  file.writeUInt32LE(36 + 2 * count, 4)
  for (const [at, value] of [
    [16, 16],
    [24, 48_000],
    [28, 96_000],
    [40, 2 * count],
  ] as const)
    file.writeUInt32LE(value, at)
  for (const [at, value] of [
    [20, 1],
    [22, 1],
    [32, 2],
    [34, 16],
  ] as const)
    file.writeUInt16LE(value, at)
  file.write('data', 36, 'latin1')
  for (let i = 0; i < count; i++) file.writeInt16LE(Math.round(9000 * Math.sin(i / 17)), 44 + 2 * i)
  return file
}

async function filesIn(at: string): Promise<Map<string, string>> {
  const names = await readdir(at).catch(() => [])
  const files = new Map<string, string>()
  for (const name of names.filter((n) => !n.startsWith('.')))
    files.set(name, (await readFile(join(at, name))).toString('base64'))
  return files
}

/** Whole parts or frames in the work folder beside the output. */
async function wholeIn(at: string): Promise<number> {
  const names = await readdir(at, { recursive: true }).catch(() => [])
  return names.filter((n) => n.includes('.partial-') && /\.(part|exr)$/.test(n)).length
}

/** Kills the call: at any moment of so many milliseconds, or at any after one more part has become whole. */
async function killedCall(args: readonly string[], at: string, afterPart: boolean, wait: number) {
  const before = await wholeIn(at)
  let over = false
  const call = platefit(folder, args, async (child) => {
    while (afterPart && !over && (await wholeIn(at)) <= before) await pause(5)
    await pause(wait)
    if (!over) child.kill('SIGKILL')
  })
  const ended = await call
  over = true
  return ended
}

const pause = (ms: number) => new Promise((done) => setTimeout(done, ms))

describe.each<[DeliveryFormat, string]>([
  ['prores-422-hq', 'a.mov'],
  ['h264-preview', 'a.mp4'],
  ['exr-half', 'a.####.exr'],
])('%s', (format, name) => {
  it(
    'killed again and again it ends in the bytes of an unbroken render',
    async () => {
      const args = (to: string) => [
        'render',
        'a.shot.json',
        '--format',
        format,
        '--out',
        join(to, name),
        '--json',
        '--workers',
        '1',
      ]
      const [whole, broken] = [`whole-${format}`, `broken-${format}`]
      const start = performance.now()
      expect((await platefit(folder, args(whole))).code).toBe(0)
      const length = performance.now() - start
      const expected = await filesIn(join(folder, whole))
      const at = join(folder, broken)
      const random = noise(format.length)
      /** What every call that got to its end took over from killed ones. */
      let resumed = 0
      const judge = async (ended: Awaited<ReturnType<typeof killedCall>>) => {
        const found = await filesIn(at)
        for (const [file, bytes] of found) expect(bytes === expected.get(file), `${file} is whole`).toBe(true)
        if (ended.code !== 0) {
          expect(ended).toMatchObject({ code: null, err: '' })
          return
        }
        expect((await readdir(at)).sort()).toEqual([...expected.keys()].sort())
        const said = JSON.parse(ended.out)
        expect(said.frames).toHaveLength(FRAMES)
        resumed += said.resumed
      }
      // On a busy machine a kill can come too late: the last one must have hit, and left a whole part.
      let left = false
      for (let kill = 0; kill < KILLS || !left; kill++) {
        const afterPart = kill % 2 === 0
        const wait = kill < KILLS ? random() * length * (afterPart ? 0.2 : 1) : 0
        const ended = await killedCall(args(broken), at, afterPart, wait)
        await judge(ended)
        left = ended.code !== 0 && (await wholeIn(at)) > 0
        if (ended.code === 0) await rm(at, { recursive: true })
      }
      await judge(await platefit(folder, args(broken)))
      expect(resumed).toBeGreaterThan(0)
    },
    60_000 + 15_000 * KILLS,
  )
})

describe('cancelled', () => {
  const options = (out: string) => ({ out: join(folder, out), format: 'png-16' as const })

  it('says at once that it stops, takes one frame more at most, and goes on later', async () => {
    const out = 'stopped/a.####.png'
    const stop = new AbortController()
    const told: Progress[] = []
    const onProgress = (p: Progress) => {
      told.push(p)
      if (p.done !== 30 || p.stopping === true) return
      stop.abort()
      // Synchronously, before anything else is done.
      expect(told.at(-1)).toMatchObject({ done: 30, stopping: true })
    }
    const ended = renderShot(shot, folder, options(out), { signal: stop.signal, onProgress, workers: 2 })
    await expect(ended).rejects.toMatchObject({ detail: { code: 'engine.stopped' } })
    expect(told.at(-1)).toMatchObject({ done: 30, stopping: true })
    expect(told.filter((p) => p.stopping === true)).toHaveLength(1)

    const first: Progress[] = []
    const result = await renderShot(shot, folder, options(out), { onProgress: (p) => first.push(p) })
    expect(result.resumed).toBeGreaterThanOrEqual(29)
    expect(result.resumed).toBeLessThanOrEqual(31)
    expect(first[0]).toMatchObject({ done: result.resumed, total: FRAMES })
    const whole = await renderShot(shot, folder, options('unbroken/a.####.png'))
    expect(whole.resumed).toBe(0)
    expect(result.frames).toEqual(whole.frames)
    expect(await filesIn(join(folder, 'stopped'))).toEqual(await filesIn(join(folder, 'unbroken')))
    expect((await readdir(join(folder, 'stopped'))).length).toBe(FRAMES)
  })

  it('and the document changed, the next call starts over and removes what was kept', async () => {
    const out = 'changed/a.####.png'
    const stop = new AbortController()
    const onProgress = (p: Progress) => p.done === 9 && stop.abort()
    const render = (of: Shot, job: Job = {}) => renderShot(of, folder, options(out), job)
    await expect(render(shot, { signal: stop.signal, onProgress })).rejects.toThrow('Stopped')
    const [fire] = shot.elements
    const moved = { ...shot, elements: [{ ...fire!, position: { x: 20, y: 20 } }] }
    expect((await render(moved)).resumed).toBe(0)
    expect(await readdir(join(folder, 'changed'))).toHaveLength(FRAMES)
  })

  it('while the movie is put together, it ends so and keeps every frame', async () => {
    const out = join(folder, 'late.mov')
    const stop = new AbortController()
    const onProgress = (p: Progress) => p.done === FRAMES && stop.abort()
    const render = (job: Job) => renderShot(shot, folder, { out, format: 'prores-422-hq' }, job)
    await expect(render({ signal: stop.signal, onProgress })).rejects.toThrow('Stopped; 100 of 100 frames')
    expect(await readdir(folder)).not.toContain('late.mov')
    expect((await render({})).resumed).toBe(FRAMES)
  })

  it('before its first frame it leaves nothing', async () => {
    const ended = renderShot(shot, folder, options('never/a.####.png'), { signal: AbortSignal.abort() })
    await expect(ended).rejects.toMatchObject({ detail: { code: 'engine.stopped' } })
    expect(await readdir(folder)).not.toContain('never')
  })

  it('Ctrl-C tells what is kept; the next call takes it over, --fresh does not', async () => {
    const at = join(folder, 'keys')
    const args = ['render', 'a.shot.json', '--format', 'exr-half', '--out', 'keys/a.####.exr']
    const stopped = async () => {
      const begun = await wholeIn(at)
      return platefit(folder, args, async (child) => {
        while (child.exitCode === null && (await wholeIn(at)) <= begun + 3) await pause(2)
        child.kill('SIGINT')
      })
    }
    const ended = await stopped()
    expect(ended.code).toBe(130)
    expect(ended.err).toMatch(/Stopped; \d+ of 100 frames are whole and kept[\s\S]*--fresh/)
    const next = await platefit(folder, args)
    expect(next.out).toMatch(/\d+ frames of them taken over/)
    await stopped()
    const fresh = await platefit(folder, [...args, '--fresh', '--json'])
    expect(JSON.parse(fresh.out)).toMatchObject({ resumed: 0 })
    expect((await readdir(at)).length).toBe(FRAMES)
  })
})

it('of several calls at once one writes, and the others say so', async () => {
  const at = join(folder, 'crowd')
  const args = ['render', 'a.shot.json', '--format', 'prores-422-hq', '--out', 'crowd/a.mov', '--json']
  const calls = await Promise.all([1, 2, 3].map(() => platefit(folder, args)))
  expect(calls.some((c) => c.code === 0)).toBe(true)
  for (const { code, out } of calls)
    if (code !== 0) expect(JSON.parse(out)).toMatchObject({ problem: { code: 'media.output-busy' } })
  const { frames } = JSON.parse((await platefit(folder, args.with(5, 'alone/a.mov'))).out)
  expect(frames).toHaveLength(FRAMES)
  expect(await filesIn(at)).toEqual(await filesIn(join(folder, 'alone')))
  expect(await readdir(at)).toEqual(['a.mov'])
})

it('after a failure nothing is left, of what was kept before neither', async () => {
  const out = join(folder, 'fails', 'a.####.png')
  const stop = new AbortController()
  const onProgress = (p: Progress) => p.done === 5 && stop.abort()
  const render = (signal?: AbortSignal) =>
    renderShot(shot, folder, { out, format: 'png-16' }, signal === undefined ? {} : { signal, onProgress })
  await expect(render(stop.signal)).rejects.toThrow('Stopped')
  await mkdir(out.replace('####', '0010'))
  await expect(render()).rejects.toMatchObject({ detail: { code: 'media.cannot-write' } })
  expect(await readdir(join(folder, 'fails'))).toEqual(['a.0010.png'])
})
