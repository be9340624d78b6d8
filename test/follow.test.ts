/** An element that goes with a track that was really followed: rendered, broken off and gone on, looked at, and refused when stale. */
import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { viewing } from '../src/colour/index.js'
import { loadShot, openPreview, openSource, type Progress, renderShot } from '../src/engine/index.js'
import { trackShot } from '../src/engine/track/track.js'
import type { Shot } from '../src/shot/index.js'
import { pictures, SMALL } from './small.js'

const FRAMES = 8
/** From here on nothing is to be seen. */
const DARK = 6
const PAN = [2, 1] as const
const { width, height } = SMALL

let folder: string
const document = () => join(folder, 'a.shot.json')

/** Uneven in all directions, without a repeat within the picture. */
const surface = (x: number, y: number) =>
  0.4 +
  0.13 * Math.sin(0.71 * x + 0.2 * y) +
  0.12 * Math.sin(0.53 * y - 0.17 * x + 1) +
  0.1 * Math.sin(0.31 * x + 0.43 * y + 2) +
  0.05 * Math.sin(1.3 * x) * Math.cos(1.1 * y)

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-follow-'))
  await pictures(join(folder, 'plate', 'plate.####.png'), width, height, FRAMES, (x, y, f) => {
    const v = f >= DARK ? 0.02 : surface(x - PAN[0] * f, y - PAN[1] * f)
    return [v, v, v]
  })
  // A white square, so that where it lies can be told from its edges.
  await pictures(join(folder, 'sign', 'sign.####.png'), 20, 16, FRAMES, () => [1, 1, 1])
  const region = [
    [20, 15],
    [120, 15],
    [120, 80],
    [20, 80],
  ]
  const sign = { id: 'sign', file: 'sign/sign.####.png', rate: '24', nature: 'reflects', alpha: 'none' }
  const elements = [{ ...sign, position: { x: 60, y: 40 }, scale: 1, follow: { track: 'wall' } }]
  const tracks = [{ id: 'wall', region }]
  const plate = { file: 'plate/plate.####.png', rate: '24' }
  await writeFile(document(), JSON.stringify({ platefit: 1, plate, tracks, elements }))
  await trackShot(document())
}, 60_000)
afterAll(() => rm(folder, { recursive: true, force: true }))

const loaded = async () => (await loadShot(document())).shot
const render = (shot: Shot, name: string, onProgress?: (p: Progress) => void, signal?: AbortSignal) =>
  renderShot(
    shot,
    folder,
    { out: join(folder, name, 'out.####.png'), format: 'png-16' },
    { workers: 2, ...(onProgress && { onProgress }), ...(signal && { signal }) },
  )

it('is carried as the plate went, and said where the track is lost', async () => {
  const done = await render(await loaded(), 'whole')
  expect(done.findings.map((f) => f.code)).toContain('place.track-lost')
  expect(done.findings.find((f) => f.code === 'place.track-lost')?.detail.received).toMatch(
    new RegExp(`^${FRAMES - DARK} of ${FRAMES} frames: ${DARK}, ${DARK + 1}`),
  )
  const out = await openSource(join(folder, 'whole', 'out.####.png'))
  try {
    for (let f = 0; f < DARK; f++)
      expect(await middleOf(out, f)).toEqual([60 + PAN[0] * f, 40 + PAN[1] * f].map(near))
  } finally {
    await out.close()
  }
})

it('goes on after a stop to the same bytes', async () => {
  const shot = await loaded()
  await render(shot, 'unbroken')
  const stop = new AbortController()
  const broken = render(shot, 'broken', (p) => p.done >= 3 && stop.abort(), stop.signal)
  await expect(broken).rejects.toMatchObject({ code: 'engine.stopped' })
  const resumed = await render(shot, 'broken')
  expect(resumed.resumed).toBeGreaterThan(0)
  const names = await readdir(join(folder, 'unbroken'))
  expect(names).toHaveLength(FRAMES)
  for (const name of names) {
    const [a, b] = await Promise.all(['unbroken', 'broken'].map((n) => readFile(join(folder, n, name))))
    expect(a?.equals(b as Buffer), name).toBe(true)
  }
})

it('looks in the preview as it is rendered, at full size and at half', async () => {
  const shot = await loaded()
  const out = await openSource(join(folder, 'whole', 'out.####.png'))
  const view = viewing(out.info.encoding)
  try {
    for (const factor of [1, 2]) {
      const preview = await openPreview(shot, folder, { width: width / factor, workers: 2 })
      try {
        const made = await preview.frame(4)
        for await (const frame of out.frames(4, 1)) {
          const [plane] = frame.planes
          let worst = 0
          for (let y = 0; y < height / factor; y++)
            for (let x = 0; x < width / factor; x++) {
              const mean = meanOf(plane?.data as Uint16Array, x * factor, y * factor, factor)
              const [code] = view([mean, mean, mean])
              worst = Math.max(
                worst,
                Math.abs(255 * code - (made?.rgb[3 * (y * (width / factor) + x)] as number)),
              )
            }
          expect(worst, `1/${factor}`).toBeLessThan(factor === 1 ? 1.5 : 6)
        }
        expect(made?.findings).toEqual([])
        const lost = await preview.frame(FRAMES - 1)
        expect(lost?.findings.map((f) => f.code)).toEqual(['place.track-lost'])
      } finally {
        await preview.close()
      }
    }
  } finally {
    await out.close()
  }
})

it('is refused when the track was corrected since or the plate is another one, and fits again once it is followed', async () => {
  const text = await readFile(document(), 'utf8')
  const shot = JSON.parse(text)
  const corrections = [{ frame: DARK, from: [60, 40], to: [60 + PAN[0] * DARK, 40 + PAN[1] * DARK] }]
  await writeFile(document(), JSON.stringify({ ...shot, tracks: [{ ...shot.tracks[0], corrections }] }))
  await expect(render(await loaded(), 'stale')).rejects.toMatchObject({
    code: 'engine.track-stale',
    detail: { remedy: 'Run `platefit track SHOT wall`.' },
  })
  expect(await trackShot(document())).toMatchObject([{ id: 'wall', kept: false }])
  expect((await render(await loaded(), 'stale')).frames).toHaveLength(FRAMES)
  expect(await trackShot(document())).toMatchObject([{ kept: true }])
  await pictures(join(folder, 'plate', 'plate.####.png'), width, height, FRAMES, (x, y) => {
    const v = surface(x, y)
    return [v, v, v]
  })
  await expect(render(await loaded(), 'other')).rejects.toMatchObject({ code: 'engine.track-stale' })
})

const near = (v: number) => expect.closeTo(v, 0)

/** Mean place of what is white; the plate is nowhere so bright. */
async function middleOf(source: Awaited<ReturnType<typeof openSource>>, number: number): Promise<number[]> {
  let [x, y, n] = [0, 0, 0]
  for await (const frame of source.frames(number, 1))
    frame.planes[0]?.data.forEach((v, i) => {
      if (v < 0.97 * 65535) return
      x += (i % width) + 0.5
      y += Math.floor(i / width) + 0.5
      n++
    })
  return [x / n, y / n]
}

/** Light of a square of samples, sRGB codes. Source: IEC 61966-2-1, from memory. */
function meanOf(data: Uint16Array, x0: number, y0: number, side: number): number {
  let sum = 0
  for (let y = y0; y < y0 + side; y++)
    for (let x = x0; x < x0 + side; x++) {
      const v = (data[y * width + x] as number) / 65535
      sum += v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4
    }
  return sum / side ** 2
}
