/** A disc before a green screen, through a real codec; who filmed it knows its alpha. */
import { mkdtemp, readdir, readFile, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { sdr } from '../../../test/encodings.js'
import { platefit } from '../../../test/platefit.js'
import { emptyImage, uniform } from '../../core/index.js'
import { applyCurve, pack, unpack } from '../../kernels/index.js'
import { createWriter, deliveryEncoding, deliveryLayout, openSource } from '../../media/index.js'
import { tablesOf } from '../tables.js'
import type { Progress } from '../types.js'
import { keyFile } from './key.js'

const [W, H, FRAMES] = [192, 128, 4]
const frame = { x: 0, y: 0, width: W, height: H }
const cover = (n: number, x: number, y: number) =>
  n === 3 ? 1 : Math.min(Math.max((30 - Math.hypot(x - 80 - 6 * n, y - 60)) / 3 + 0.5, 0), 1)
let folder = ''
let clip = ''

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-key-'))
  clip = join(folder, 'runner.mp4')
  const encoding = deliveryEncoding('h264-preview', sdr)
  const layout = deliveryLayout('h264-preview', { alpha: false })
  const rate = { num: 25, den: 1 }
  const writer = await createWriter(clip, { format: 'h264-preview', width: W, height: H, rate, encoding })
  for (let n = 0; n < FRAMES; n++) {
    const image = emptyImage(frame)
    for (let p = 0; p < W * H; p++) {
      const [x, y] = [p % W, Math.floor(p / W)]
      const a = cover(n, x, y)
      const lit = 1 - (0.3 * x) / W
      const grain = 1 + 0.02 * (uniform(6, n, x, y, 0) - 0.5)
      const light = [0.4, 0.38, 0.42].map(
        (f, c) => grain * (a * f + (1 - a) * lit * ([0.06, 0.4, 0.09][c] as number)),
      )
      image.data.set([...light, 1], 4 * p)
    }
    applyCurve(image, tablesOf(encoding, 'encode'))
    await writer.write(pack(image, layout, encoding))
  }
  await writer.finish()
}, 60_000)
afterAll(() => rm(folder, { recursive: true, force: true }))

async function alphas(path: string): Promise<{ alpha: Float32Array; premultiplied: Float32Array }[]> {
  const source = await openSource(path)
  const out = []
  for await (const f of source.frames()) {
    const { data } = unpack(f, source.info.encoding, frame)
    out.push({ alpha: data.filter((_, i) => i % 4 === 3), premultiplied: Float32Array.from(data) })
  }
  await source.close()
  return out
}

describe('a keyed file', () => {
  it('has the alpha with which it was filmed, and names the frame that shows no screen', async () => {
    const out = join(folder, 'keyed', 'runner.####.exr')
    const done = await keyFile(clip, { out, spill: 1 })
    expect(done.without).toEqual([3])
    // 0.4 / (0.06 + 0.4 + 0.09)
    expect(done.screen?.[1]).toBeCloseTo(0.727, 1)
    const frames = await alphas(out)
    expect(frames).toHaveLength(FRAMES)
    for (const n of [0, 1, 2]) {
      const { alpha } = frames[n] as (typeof frames)[0]
      let [off, edge] = [0, 0]
      for (let p = 0; p < W * H; p++) {
        const [x, y] = [p % W, Math.floor(p / W)]
        const from = 30 - Math.hypot(x - 80 - 6 * n, y - 60)
        if (from < -10) expect(alpha[p]).toBe(0)
        else if (from > 10) expect(alpha[p]).toBe(1)
        else if (Math.abs(from) < 3) {
          off += Math.abs((alpha[p] as number) - cover(n, x, y))
          edge++
        }
      }
      expect(off / edge).toBeLessThan(0.12)
    }
  })

  it('by a place that is shown, and of some frames; nothing is left where it is refused', async () => {
    const out = join(folder, 'some', 'runner.####.exr')
    const done = await keyFile(clip, { out, spill: 1, frames: { first: 1, count: 2 }, at: { x: 10, y: 10 } })
    expect(done.without).toEqual([])
    expect((await readdir(join(folder, 'some'))).sort()).toEqual(['runner.0001.exr', 'runner.0002.exr'])
    const none = join(folder, 'none', 'runner.####.exr')
    const asked = (more: object) => keyFile(clip, { out: none, spill: 1, ...more })
    await expect(asked({ at: { x: 80, y: 60 } })).rejects.toMatchObject({ detail: { code: 'key.no-screen' } })
    await expect(asked({ at: { x: 500, y: 0 } })).rejects.toMatchObject({
      detail: { code: 'key.no-such-place' },
    })
    await expect(asked({ frames: { first: 2, count: 9 } })).rejects.toMatchObject({
      detail: { code: 'key.no-such-frames' },
    })
    await expect(readdir(join(folder, 'none'))).rejects.toThrow()
  })

  it('is the same to the bit by one thread and by two, and after it was broken off', async () => {
    const bytes = async (name: string) =>
      Promise.all((await readdir(join(folder, name))).sort().map((f) => readFile(join(folder, name, f))))
    const asked = (name: string) => ({ out: join(folder, name, 'r.####.exr'), spill: 1 })
    expect((await keyFile(clip, asked('one'), { workers: 1 })).resumed).toBe(0)
    await keyFile(clip, asked('two'), { workers: 2 })
    expect(await bytes('two')).toEqual(await bytes('one'))
    const stop = new AbortController()
    // The last frame shows no screen: it is keyed with the light that the frames before the break showed.
    const onProgress = ({ stage, done }: Progress) => {
      if (stage === 'key' && done === 3) stop.abort()
    }
    const broken = keyFile(clip, asked('again'), { workers: 1, onProgress, signal: stop.signal })
    await expect(broken).rejects.toMatchObject({ detail: { code: 'engine.stopped' } })
    const done = await keyFile(clip, asked('again'), { workers: 1 })
    expect([done.resumed, done.without]).toEqual([3, [3]])
    expect(await bytes('again')).toEqual(await bytes('one'))
  })

  it('by two backings is what it was, whatever it is', async () => {
    // Half-covering smoke beside a glow that covers nothing.
    const thing = (x: number) => (x < W / 2 ? [0.1, 0.12, 0.15, 0.5] : [0.3, 0.1, 0.02, 0])
    const drawn = async (name: string, ground: number) => {
      const encoding = deliveryEncoding('exr-half', sdr)
      const path = join(folder, name, 'x.####.exr')
      const spec = { format: 'exr-half' as const, width: W, height: H, rate: { num: 25, den: 1 }, encoding }
      const writer = await createWriter(path, spec)
      const image = emptyImage(frame)
      for (let p = 0; p < W * H; p++) {
        const [r, g, b, a] = thing(p % W) as [number, number, number, number]
        image.data.set([r + (1 - a) * ground, g + (1 - a) * ground, b + (1 - a) * ground, 1], 4 * p)
      }
      await writer.write(pack(image, deliveryLayout('exr-half', { alpha: false }), encoding))
      await writer.finish()
      return path
    }
    const [dark, bright] = [await drawn('dark', 0), await drawn('bright', 1)]
    const out = join(folder, 'backings', 'x.####.exr')
    await keyFile(dark, { out, spill: 1, clean: [0, 0, 0], second: { file: bright, clean: [1, 1, 1] } })
    const [made] = await alphas(out)
    for (const x of [5, W - 5])
      for (const [c, v] of (thing(x) as number[]).entries())
        expect(made?.premultiplied[4 * (9 * W + x) + c]).toBeCloseTo(v, 3)
    const alike = {
      out,
      spill: 1,
      clean: [0.5, 0.5, 0.5] as const,
      second: { file: bright, clean: [0.5, 0.5, 0.5] as const },
    }
    await expect(keyFile(dark, alike)).rejects.toMatchObject({ detail: { code: 'key.alike' } })
    const second = (clean: readonly [number, number, number], file = bright) =>
      keyFile(dark, {
        out: join(folder, 'wrong', 'x.####.exr'),
        spill: 1,
        clean: [0, 0, 0],
        second: { file, clean },
      })
    // Filmed before white, said to be before a grey of half its light: where it is bare it lets twice as much through as there is.
    await expect(second([0.5, 0.5, 0.5])).rejects.toMatchObject({ detail: { code: 'key.other-grounds' } })
    expect((await second([1, 1, 1], dark)).without).toEqual([0])
  })

  it('by the command: 1 where a frame shows no screen, 2 where nothing can be keyed', async () => {
    const out = join(folder, 'command', 'r.####.exr')
    const done = await platefit(folder, ['key', clip, '--out', out, '--json'])
    expect(done.code).toBe(1)
    expect(JSON.parse(done.out)).toMatchObject({ without: [3], frames: { first: 0, count: 4 } })
    const refused = await platefit(folder, ['key', clip, '--out', out, '--frames', '7-9'])
    expect(refused.code).toBe(2)
    expect(refused.err).toContain('within 0 to 3')
    const alone = await platefit(folder, ['key', clip, '--out', out, '--other', clip])
    expect([alone.code, alone.err]).toEqual([2, expect.stringContaining('A second ground needs both')])
    const line = await platefit(folder, ['key', clip, '--out', out, '--outside', '0,0 9,9'])
    expect([line.code, line.err]).toEqual([2, expect.stringContaining('three places or more')])
    const unknown = await platefit(folder, ['key', clip, '--out', out, '--curve', 'nonsense'])
    expect(unknown.code).toBe(2)
    expect(unknown.err).toContain('nonsense')
  })
})
