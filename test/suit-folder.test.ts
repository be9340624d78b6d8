/** A folder of movies made here, whose faults are known: what `suit` says of each, in any number of threads. */
import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { uniform } from '../src/core/index.js'
import { suitElements } from '../src/engine/suit/suit.js'
import { cutFile, makeMovie } from './media/fixture.js'
import { platefit } from './platefit.js'

const [W, H, FRAMES] = [192, 108, 12]
type Rgb = readonly [number, number, number]
type Paint = (x: number, y: number, t: number) => Rgb

interface Line {
  readonly name: string
  readonly verdict: string
  readonly figure: string
  readonly value?: number
}
interface Answer {
  readonly elements: readonly { path: string; said?: string; lines: readonly Line[]; frames: number[] }[]
  readonly unread: readonly { path: string; problem: { code: string } }[]
  readonly findings: readonly { code: string }[]
  seconds: number
}

/** Tight 4:2:2 planes of 10 bits by BT.709 (limited); `coarse`: only every fourth code. */
function planes(paint: Paint, t: number, seed: number, coarse = false): Buffer {
  const samples = new Uint16Array(2 * W * H)
  const put = (at: number, code: number) => {
    samples[at] = coarse ? 4 * Math.round(code / 4) : Math.round(code)
  }
  for (let y = 0; y < H; y++) {
    for (let x = 0; x < W; x++) {
      const [r, g, b] = paint(x, y, t).map((v, c) => v + 0.01 * (uniform(seed, t, x, y, c) - 0.5)) as [
        number,
        number,
        number,
      ]
      const luma = 0.2126 * r + 0.7152 * g + 0.0722 * b
      put(y * W + x, 64 + 876 * luma)
      if (x % 2 === 1) continue
      put(W * H + (y * W + x) / 2, 512 + (896 * (b - luma)) / 1.8556)
      put((3 * W * H + y * W + x) / 2, 512 + (896 * (r - luma)) / 1.5748)
    }
  }
  return Buffer.from(samples.buffer)
}

const disc =
  (cx: number, cy: number, radius: number, inside: Rgb, outside: Rgb): Paint =>
  (x, y, t) =>
    Math.hypot(x - cx - t, y - cy) < radius ? inside : outside
const skin: Rgb = [0.7, 0.5, 0.4]
const green: Rgb = [0.2, 0.65, 0.25]
/** A soft light: a gradient over many codes. */
const glow: Paint = (x, y, t) => {
  const v = Math.max(0, 1 - Math.hypot(x - 90 - t, y - 54) / 40)
  return [0.9 * v, 0.6 * v, 0.2 * v]
}

let folder: string

async function movie(name: string, paint: Paint, seed: number, coarse = false): Promise<void> {
  await makeMovie(join(folder, name), {
    encoder: 'ffv1',
    format: 'yuv422p10le',
    width: W,
    height: H,
    frames: Array.from({ length: FRAMES }, (_, t) => planes(paint, t, seed, coarse)),
    rate: [24, 1],
    tags: [1, 1, 1, 1],
  })
}

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-suit-folder-'))
  await mkdir(join(folder, 'lib'))
  const wall: Paint = (x, y) => [0.3 + x / 900, 0.4 + 0.1 * Math.sin(x / 30) + y / 1500, 0.45]
  await movie('plate.mkv', wall, 1)
  await movie('lib/free.mkv', disc(90, 54, 30, skin, green), 2)
  await movie('lib/cut.mkv', disc(90, 90, 30, skin, green), 3)
  await movie('lib/eight.mkv', glow, 4, true)
  await movie('lib/ten.mkv', glow, 5)
  await cutFile(join(folder, 'lib/ten.mkv'), join(folder, 'lib/torn.mkv'), 0.02)
  await writeFile(join(folder, 'lib', 'text.mov'), 'no movie at all')
  await writeFile(
    join(folder, 'lib', 'platefit.facts.json'),
    JSON.stringify({ 'f*.mkv': { cameraHeight: 1.7, lightSide: 'left' }, 'cut.mkv': { lightSide: 'right' } }),
  )
})
afterAll(() => rm(folder, { recursive: true, force: true }))

async function ask(...args: string[]): Promise<{ code: number | null; answer: Answer }> {
  const { code, out } = await platefit(folder, ['suit', ...args, '--plate', 'plate.mkv', '--json'])
  return { code, answer: JSON.parse(out) as Answer }
}

describe('a folder', () => {
  it('is judged element by element, and a bad file does not stop the rest', async () => {
    const { code, answer } = await ask(
      'lib',
      '--camera-height',
      '1.6',
      '--light-side',
      'left',
      '--scale',
      '0.5',
    )
    expect(code).toBe(2)
    expect(answer.unread.map((u) => u.path).sort()).toEqual(['lib/text.mov', 'lib/torn.mkv'])
    const line = (file: string, name: string) =>
      answer.elements.find((e) => e.path === `lib/${file}`)?.lines.find((l) => l.name === name)
    // A circle of radius 30 about a point 18 above the lower side: half the chord is √(30² − 18²) = 24.
    expect(line('free.mkv', 'cut-out')).toMatchObject({ verdict: 'fine', figure: 'green screen' })
    expect(line('free.mkv', 'border')).toMatchObject({ verdict: 'fine', figure: 'free' })
    expect(line('cut.mkv', 'border')).toMatchObject({ verdict: 'unfit', figure: 'cut at the bottom' })
    expect(line('cut.mkv', 'border')?.value).toBeCloseTo(48 / W, 1)
    expect(line('eight.mkv', 'bit depth')).toMatchObject({ figure: '8 of 10 bits', value: 8 })
    expect(line('ten.mkv', 'bit depth')).toMatchObject({ figure: '10 bit', value: 10, verdict: 'fine' })
    expect(line('free.mkv', 'camera height')).toMatchObject({ verdict: 'fine' })
    expect(line('free.mkv', 'light side')).toMatchObject({ verdict: 'fine' })
    expect(line('cut.mkv', 'light side')).toMatchObject({ verdict: 'poor' })
    expect(line('ten.mkv', 'camera height')).toMatchObject({ verdict: 'cannot tell' })
    // Every line has a verdict, and says why.
    for (const e of answer.elements) expect(e.lines.every((l) => l.verdict !== '')).toBe(true)
  })

  it('gives the same answer whatever the number of threads and the order', async () => {
    const [one, three] = [await ask('lib', '--workers', '1'), await ask('lib', '--workers', '3')]
    expect(three.answer.elements).toEqual(one.answer.elements)
    const turned = await ask(...['ten.mkv', 'cut.mkv', 'eight.mkv', 'free.mkv'].map((n) => `lib/${n}`))
    expect(turned.answer.elements).toEqual(one.answer.elements)
  })
})

it('stops when it is told to, and says how far it came', async () => {
  const stop = new AbortController()
  const seen: string[] = []
  const job = {
    signal: stop.signal,
    workers: 2,
    onProgress: (p: { stage: string; done: number; total: number }) => {
      seen.push(`${p.stage} ${p.done}/${p.total}`)
      if (p.done === 1) stop.abort()
    },
  }
  const work = suitElements(
    { elements: [join(folder, 'lib')], plate: join(folder, 'plate.mkv'), known: {} },
    job,
  )
  await expect(work).rejects.toThrow()
  expect(seen[0]).toBe('suit 0/6')
  expect(seen.length).toBeLessThan(5)
})
