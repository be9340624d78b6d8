/** A camera's own curve, from chart or bracket to the finished picture, against a camera that shares no code with the program. */
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { differenceCiede2000 } from 'culori'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { checkShot, fitShot, parseShot, renderShot, type Shot } from '../src/engine/index.js'
import { openSource } from '../src/media/index.js'
import { CARD, CORNERS, filmFiles, filmic, filmicBack, SIZE, truth } from './filmic.js'
import { plateIsSacred } from './proof/sacred.js'

let folder: string
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-response-'))
  await filmFiles(folder)
})
afterAll(() => rm(folder, { recursive: true, force: true }))

const chart = { chart: { file: 'chart', corners: CORNERS } }
const bracket = {
  bracket: Array.from({ length: 10 }, (_, f) => ({
    file: 'bracket',
    frame: f,
    stops: f - 5,
    x: 60,
    y: 30,
    width: 40,
    height: 30,
  })),
}

function shotWith(camera: object, reflectance = 0.6): Shot {
  return parseShot(
    {
      platefit: 1,
      plate: { file: 'plate', curve: 'bt709' },
      camera,
      site: { greyCard: CARD },
      elements: [
        {
          id: 'steam',
          file: 'steam',
          alpha: 'premultiplied',
          nature: 'absorbs',
          position: { x: 96, y: 54 },
          scale: 1,
          reflectance,
        },
      ],
    },
    'test',
  )
}

const fitted = async (camera: object, reflectance?: number) =>
  (await fitShot(shotWith(camera, reflectance), folder)).shot

/** BT.709-6's code of 0.18, at which a measured curve is set. */
const GREY = 1.099 * 0.18 ** 0.45 - 0.099

describe.each([
  ['a chart', chart, 0.05],
  ['a bracket', bracket, 0.03],
])('%s', (_, camera, limit) => {
  it('tells the curve, whatever light it stood in', async () => {
    const t = (await fitted(camera)).plate.treatments['sensor.response']
    if (t === undefined || !('value' in t) || t.evidence.kind !== 'measured') throw new Error('not measured')
    expect(t.evidence.confidence).toBeGreaterThan(0.6)
    expect(t.value.length).toBeLessThanOrEqual(160)
    const scale = filmicBack(GREY) / 0.18
    const errors: number[] = []
    for (let i = 0; i < t.value.length; i += 4)
      for (const c of [1, 2, 3])
        errors.push(Math.log2(filmicBack(t.value[i + c] as number) / ((t.value[i] as number) * scale)))
    const rms = Math.sqrt(errors.reduce((s, e) => s + e * e, 0) / errors.length)
    console.log(
      `curve off by ${rms.toFixed(3)} stop rms, ${t.value.length / 4} rows from ${t.value[0]} to ${t.value.at(-4)}`,
    )
    expect(rms).toBeLessThan(limit)
  })

  it.each([0.05, 0.6])('brings an element of reflectance %f nearer to the truth', async (reflectance) => {
    const [known, assumed] = [
      await score(await fitted(camera, reflectance), reflectance),
      await score(await fitted({}, reflectance), reflectance),
    ]
    console.log(`ΔE00 ${known.toFixed(2)} by the measured curve, ${assumed.toFixed(2)} by BT.709`)
    expect(known).toBeLessThan(assumed / 2)
  })
})

/** Mean CIEDE2000 (culori) over what the cloud changes, the codes seen on an sRGB display. */
async function score(shot: Shot, reflectance: number): Promise<number> {
  const out = join(folder, `scored-${Math.random()}`)
  await renderShot(shot, folder, { out, format: 'png-16', grain: false })
  const source = await openSource(out)
  const apart = differenceCiede2000()
  let sum = 0
  let count = 0
  for await (const { planes } of source.frames(0, 1)) {
    for (let y = 0; y < SIZE.height; y++) {
      for (let x = 0; x < SIZE.width; x++) {
        const want = truth(x, y, reflectance)
        if (truth(x, y, 0).every((v, c) => Math.abs(v - (want[c] as number)) < 0.002)) continue
        const [r, g, b] = planes.map((p) => (p.data[y * SIZE.width + x] as number) / 65535)
        const got = { mode: 'rgb', r: r as number, g: g as number, b: b as number } as const
        sum += apart(got, { mode: 'rgb', r: want[0], g: want[1], b: want[2] })
        count++
      }
    }
  }
  await source.close()
  expect(count).toBeGreaterThan(1000)
  return sum / count
}

describe('a plate with a curve of its own', () => {
  it('is sacred: a null render is the plate, and a render wherever nothing touches it', async () => {
    const own = await plateIsSacred(await fitted(bracket), folder, 'png-16', 2)
    expect(own).toMatchObject({ frames: 2, nullDiffers: 0, strayed: 0 })
    expect(own.changed).toBeGreaterThan(1000)
  })

  it.each(['prores-422-hq', 'h264-preview'] as const)('is sacred as a movie: %s', async (format) => {
    const shot = await fitted(bracket)
    const file = `plate-${format}${format === 'h264-preview' ? '.mp4' : '.mov'}`
    await renderShot(shot, folder, { out: join(folder, file), format, variant: 'null' })
    const own = await plateIsSacred({ ...shot, plate: { ...shot.plate, file } }, folder, format, 2)
    expect(own).toMatchObject({ frames: 2, nullDiffers: 0, strayed: 0 })
    expect(own.changed).toBeGreaterThan(1000)
  })

  it('gives the same bits from one worker and from two, and as two halves', async () => {
    const shot = await fitted(chart)
    const render = (name: string, workers: number, frames?: { first: number; count: number }) =>
      renderShot(
        shot,
        folder,
        { out: join(folder, name), format: 'png-16', ...(frames === undefined ? {} : { frames }) },
        { workers },
      )
    const whole = await render('one', 1)
    expect((await render('two', 2)).frames).toEqual(whole.frames)
    const halves = [
      await render('a', 2, { first: 0, count: 1 }),
      await render('b', 1, { first: 1, count: 1 }),
    ]
    expect(halves.flatMap((h) => h.frames)).toEqual(whole.frames)
  })

  it('leaves as linear light in EXR, by the measured curve', async () => {
    const out = join(folder, 'light')
    const shot = await fitted(bracket)
    await renderShot(shot, folder, { out, format: 'exr-half', variant: 'null' })
    const source = await openSource(out)
    expect(source.info.encoding.curve).toBe('linear')
    const [x, y] = [150, 100]
    for await (const { planes } of source.frames(0, 1)) {
      const red = planes[0]?.data[y * SIZE.width + x] as number
      const code = filmic(0.01 * 150 ** (x / SIZE.width) * (0.8 + (0.4 * y) / SIZE.height))
      expect(Math.abs(Math.log2((red * filmicBack(GREY)) / 0.18 / filmicBack(code)))).toBeLessThan(0.06)
    }
    await source.close()
  })

  it('is checked through the same curve: a fitted render has no tell of levels', async () => {
    const shot = await fitted(bracket)
    const out = join(folder, 'checked')
    await renderShot(shot, folder, { out, format: 'png-16' })
    const { tells } = await checkShot(shot, folder, out)
    expect(tells.filter((t) => ['blacks', 'middle', 'whites', 'plate-changed'].includes(t.tell))).toEqual([])
  })
})
