/** A painted plate with a known move, held still, painted on, and put back. The painter and what judges are the test's own. */
import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { madeFrom } from '../../../test/trackKey.js'
import { allocateFrame, type NativeFrame } from '../../core/index.js'
import { createWriter, openSource } from '../../media/index.js'
import type { ShotElement, TrackData } from '../../shot/index.js'
import { loadShot } from '../document.js'
import { renderShot } from '../index.js'
import { writeTrack } from '../track/file.js'
import { putBack, withPatch } from './put.js'
import { steadyShot } from './steady.js'

const [WIDTH, HEIGHT, FRAMES] = [160, 96, 5]
const ENCODING = {
  range: 'full',
  matrix: 'rgb',
  curve: 'srgb',
  primaries: 'bt709',
  siting: 'centre',
} as const

/** A push-in with a roll, a slide and a little perspective; frame 0 does not move. */
function motion(f: number): [number, number, number, number, number, number, number, number, number] {
  const [s, a] = [1 + 0.03 * f, 0.02 * f]
  const [c, d] = [s * Math.cos(a), s * Math.sin(a)]
  const [x, y] = [WIDTH / 2, HEIGHT / 2]
  return [c, -d, x - c * x + d * y + 3.3 * f, d, c, y - d * x - c * y - 1.7 * f, 1e-5 * f, -2e-5 * f, 1]
}

function carried(f: number, x: number, y: number): [number, number] {
  const m = motion(f)
  const w = m[6] * x + m[7] * y + 1
  return [(m[0] * x + m[1] * y + m[2]) / w, (m[3] * x + m[4] * y + m[5]) / w]
}

/** The way back by Newton's steps on `carried`. */
function back(f: number, x: number, y: number): [number, number] {
  let [u, v] = [x, y]
  for (let i = 0; i < 30; i++) {
    const [p, q] = carried(f, u, v)
    const [px, qx] = carried(f, u + 1e-3, v)
    const [py, qy] = carried(f, u, v + 1e-3)
    const [a, b, c, d] = [px - p, py - p, qx - q, qy - q].map((k) => k * 1e3) as [
      number,
      number,
      number,
      number,
    ]
    const [ex, ey, area] = [x - p, y - q, a * d - b * c]
    u += (ex * d - ey * b) / area
    v += (ey * a - ex * c) / area
  }
  return [u, v]
}

/** The scene on the reference frame: a soft dark dot at (70, 40), and slow waves. Light, 0 to 1. */
const DOT = [70, 40] as const
function scene(x: number, y: number): number {
  const waves = 0.3 + 0.1 * Math.sin(x / 9) * Math.cos(y / 7)
  return waves - 0.2 * Math.exp(-((x - DOT[0]) ** 2 + (y - DOT[1]) ** 2) / 18)
}

const code = (light: number) => (light <= 0.0031308 ? 12.92 * light : 1.055 * light ** (1 / 2.4) - 0.055)
const light = (v: number) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)

let folder = ''
let shot = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-steady-'))
  const writer = await createWriter(join(folder, 'plate.####.png'), {
    ...{ format: 'png-16', width: WIDTH, height: HEIGHT, rate: { num: 24, den: 1 }, encoding: ENCODING },
  })
  for (let f = 0; f < FRAMES; f++) {
    const frame = allocateFrame(writer.layout, WIDTH, HEIGHT)
    for (let y = 0; y < HEIGHT; y++) {
      for (let x = 0; x < WIDTH; x++) {
        const v = Math.round(65535 * code(scene(...back(f, x + 0.5, y + 0.5))))
        for (const p of frame.planes) p.data[y * WIDTH + x] = v
      }
    }
    await writer.write(frame)
  }
  await writer.finish()
  shot = join(folder, 'one.shot.json')
  const tracks = [{ id: 'wall', motion: 'homography' }]
  const document = {
    platefit: 1,
    plate: { file: 'plate.####.png', curve: 'srgb', primaries: 'bt709' },
    tracks,
  }
  const data: TrackData = {
    ...{
      platefitTrack: 1,
      id: 'wall',
      madeFrom: await madeFrom(document, folder, 'wall'),
      plate: { width: WIDTH, height: HEIGHT },
    },
    ...{ reference: 0, motion: 'homography', why: 'painted so', points: [], jumps: [], said: [] },
    frames: Array.from({ length: FRAMES }, (_, frame) => ({
      ...{ frame, state: 'tracked', matrix: motion(frame), spreadPx: 0, agree: 9, seen: 9 },
    })) as TrackData['frames'],
  }
  const written = await writeTrack(shot, data)
  await writeFile(shot, JSON.stringify({ ...document, tracks: [{ ...tracks[0], data: written }] }))
})
afterAll(() => rm(folder, { recursive: true, force: true }))

async function read(path: string): Promise<NativeFrame[]> {
  const source = await openSource(path)
  const out: NativeFrame[] = []
  for await (const f of source.frames(0, source.info.frameCount)) out.push(f)
  await source.close()
  return out
}

it('holds every frame still, with nothing cut: what it shows is the scene', async () => {
  const out = join(folder, 'still.####.exr')
  const { note } = await steadyShot(shot, { track: 'wall', out, format: 'exr-half', overscan: true })
  const corners = Array.from({ length: FRAMES }, (_, f) =>
    [
      [0, 0],
      [WIDTH, 0],
      [0, HEIGHT],
      [WIDTH, HEIGHT],
    ].map(([x, y]) => back(f, x!, y!)),
  ).flat()
  const [left, top] = [0, 1].map((k) => Math.floor(Math.min(...corners.map((c) => c[k]!)))) as [
    number,
    number,
  ]
  expect(note.offset).toEqual([left, top])
  for (const [u, v] of corners) {
    expect(u).toBeLessThanOrEqual(left + note.width)
    expect(v).toBeLessThanOrEqual(top + note.height)
  }
  const frames = await read(out)
  expect(frames).toHaveLength(FRAMES)
  for (const { planes, width, height } of frames) {
    expect([width, height]).toEqual([note.width, note.height])
    let [worst, covered] = [0, 0]
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        const i = y * width + x
        // The filter sees the plate's border two pixels into it.
        const rim = [-2, 0, 2].some((d) => [-2, 0, 2].some((e) => planes[3]!.data[i + d * width + e] !== 1))
        if (rim) continue
        covered++
        const truth = scene(x + 0.5 + left, y + 0.5 + top)
        worst = Math.max(worst, Math.abs((planes[1]!.data[i] as number) - truth))
      }
    }
    // The further the camera went in, the less it saw.
    expect(covered).toBeGreaterThan(0.5 * WIDTH * HEIGHT)
    expect(worst).toBeLessThan(0.004)
  }
})

it('puts back what was painted: where it belongs, and nowhere else', async () => {
  const { note } = await steadyShot(shot, {
    ...{ track: 'wall', out: join(folder, 'again.####.exr'), format: 'exr-half', overscan: true },
  })
  // A soft bright dot of the hand's own, beside the dark one.
  const at = [95.25, 55.5] as const
  const own = (x: number, y: number) => Math.exp(-((x - at[0]) ** 2 + (y - at[1]) ** 2) / 8)
  const writer = await createWriter(join(folder, 'patch.####.exr'), {
    ...{ format: 'exr-half', width: note.width, height: note.height, rate: { num: 24, den: 1 }, alpha: true },
    encoding: { ...ENCODING, curve: 'linear' },
  })
  const patch = allocateFrame(writer.layout, note.width, note.height)
  for (let y = 0; y < note.height; y++) {
    for (let x = 0; x < note.width; x++) {
      const a = own(x + 0.5 + note.offset[0], y + 0.5 + note.offset[1])
      const held = a > 1e-3 ? a : 0
      patch.planes.forEach((p, c) => {
        p.data[y * note.width + x] = c < 3 ? 0.9 * held : held
      })
    }
  }
  await writer.write(patch)
  await writer.finish()
  const { element } = await putBack(shot, note, join(folder, 'patch.####.exr'))
  expect(element.alpha).toBe('premultiplied')
  const { shot: now } = await loadShot(shot)
  const out = join(folder, 'done.####.png')
  await renderShot(now, folder, { out, format: 'png-16' }, { workers: 1 })
  const [before, after] = [await read(join(folder, 'plate.####.png')), await read(out)]
  const misses: number[] = []
  for (let f = 0; f < FRAMES; f++) {
    const [cx, cy] = carried(f, ...at)
    let [sum, x1, y1, untouched] = [0, 0, 0, 0]
    for (let y = 0; y < HEIGHT; y++) {
      for (let x = 0; x < WIDTH; x++) {
        const i = y * WIDTH + x
        const [b, a] = [before[f]!.planes[1]!.data[i] as number, after[f]!.planes[1]!.data[i] as number]
        if (Math.hypot(x + 0.5 - cx, y + 0.5 - cy) > 14) {
          expect(a).toBe(b)
          untouched++
          continue
        }
        // Cover is what the light rose by of what it could rise by.
        const was = light(b / 65535)
        const share = (light(a / 65535) - was) / (0.9 - was)
        sum += share
        x1 += share * (x + 0.5)
        y1 += share * (y + 0.5)
      }
    }
    expect(untouched).toBeGreaterThan(0.9 * WIDTH * HEIGHT)
    misses.push(Math.hypot(x1 / sum - cx, y1 / sum - cy))
  }
  const rms = Math.sqrt(misses.reduce((s, m) => s + m * m, 0) / misses.length)
  expect(rms).toBeLessThan(0.1)
  if (process.env.SAY) console.log('rms', rms)
})

it('says when the track is another one, or the painting has another size', async () => {
  const { note } = await steadyShot(shot, {
    ...{ track: 'wall', out: join(folder, 'small.####.exr'), format: 'exr-half' },
  })
  expect([note.offset, note.width, note.height]).toEqual([[0, 0], WIDTH, HEIGHT])
  const patch = join(folder, 'patch.####.exr')
  await expect(putBack(shot, { ...note, sha256: 'f'.repeat(64) }, patch)).rejects.toMatchObject({
    detail: { code: 'steady.other-track' },
  })
  // That one was painted on the larger picture.
  await expect(putBack(shot, note, patch)).rejects.toMatchObject({ detail: { code: 'steady.patch-size' } })
  const full = join(folder, 'full.####.exr')
  const writer = await createWriter(full, {
    ...{ format: 'exr-half', width: note.width, height: note.height, rate: { num: 24, den: 1 }, alpha: true },
    encoding: { ...ENCODING, curve: 'linear' },
  })
  const opaque = allocateFrame(writer.layout, note.width, note.height)
  for (const { data } of opaque.planes) data.fill(1)
  await writer.write(opaque)
  await writer.finish()
  await expect(putBack(shot, note, full)).rejects.toMatchObject({
    detail: { code: 'steady.no-alpha', received: 'alpha that is full everywhere' },
  })
})

it('puts the same patch back once', () => {
  const patch = { id: 'wall-patch', file: 'patch.exr', position: { x: 5, y: 6 }, startFrame: 3, scale: 1 }
  const one = { ...patch, follow: { track: 'wall', take: 'all' } } as unknown as ShotElement
  const own = { ...one, id: 'mine', startFrame: 0, nature: 'absorbs' } as ShotElement
  const other = { ...one, id: 'other', follow: { track: 'floor', take: 'all' } } as ShotElement
  expect(withPatch([other], one).map((e) => e.id)).toEqual(['other', 'wall-patch'])
  // What a person made of it stays, and where it stands is brought up to date.
  expect(withPatch([own, other], one)).toEqual([{ ...own, startFrame: 3 }, other])
})

it('names the tracks that there are', async () => {
  const asked = { track: 'nosuch', out: join(folder, 'none.####.exr'), format: 'exr-half' } as const
  await expect(steadyShot(shot, asked)).rejects.toMatchObject({
    code: 'shot.unknown-track',
    detail: { expected: 'wall' },
  })
})
