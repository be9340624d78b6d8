/**
 * Light that covers nothing: a photographed candle in a glass, of which most pixels have no alpha and light all the same. Real footage
 * is looked for beside the checkout (PLATEFIT_FOOTAGE overrides) and skipped where it is absent.
 */
import { existsSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, expect, it } from 'vitest'
import { allocateFrame, type NativeFrame } from '../src/core/index.js'
import { openSource, parseShot, renderShot } from '../src/engine/index.js'
import { unpack } from '../src/kernels/index.js'
import { createWriter, deliveryEncoding } from '../src/media/index.js'
import { sdr } from './encodings.js'
import { writePictures } from './tells/files.js'

const footage =
  process.env.PLATEFIT_FOOTAGE ?? fileURLToPath(new URL('../../shared/footage', import.meta.url))
const candle = join(footage, 'exr', 'CandleGlass.exr')
const root = mkdtempSync(join(tmpdir(), 'platefit-glow-'))
afterAll(() => rmSync(root, { recursive: true, force: true }))

interface Picture {
  readonly width: number
  readonly height: number
  readonly data: Float32Array
}

/** Codes as they stand in the file's first frame; light in EXR. */
async function read(file: string): Promise<Picture> {
  const source = await openSource(file, { still: file === candle })
  const { width, height } = source.info
  let frame: NativeFrame | undefined
  for await (const f of source.frames(0, 1)) frame = f
  const { data } = unpack(frame as NativeFrame, source.info.encoding, { x: 0, y: 0, width, height })
  const own = Float32Array.from(data)
  await source.close()
  return { width, height, data: own }
}

/** Sum of light where alpha is 0, and everywhere. */
function energy(light: Float32Array, alpha: Float32Array): [none: number, all: number] {
  let [none, all] = [0, 0]
  for (let i = 0; i < light.length; i += 4) {
    const sum = (light[i] as number) + (light[i + 1] as number) + (light[i + 2] as number)
    all += sum
    if (alpha[i + 3] === 0) none += sum
  }
  return [none, all]
}

const black = async ({ width, height }: Picture) => {
  const path = join(root, 'plate', 'black.####.exr')
  const encoding = deliveryEncoding('exr-half', sdr)
  const rate = { num: 24, den: 1 }
  const writer = await createWriter(path, { format: 'exr-half', width, height, rate, encoding })
  await writer.write(allocateFrame(writer.layout, width, height))
  await writer.finish()
  return join(root, 'plate')
}

async function overBlack(
  candleFile: string,
  alpha: string,
  picture: Picture,
  out: string,
): Promise<Float32Array> {
  const element = { id: 'candle', file: candleFile, still: true, alpha, nature: 'reflects', scale: 1 }
  const position = { x: picture.width / 2, y: picture.height / 2 }
  const curve = alpha === 'straight' ? { curve: 'srgb' } : {}
  const plate = { file: await black(picture), curve: 'linear', rate: '24' }
  const shot = parseShot({ platefit: 1, plate, elements: [{ ...element, ...curve, position }] }, 'glow')
  await renderShot(shot, root, { out: join(root, out, 'x.####.exr'), format: 'exr-half' })
  return (await read(join(root, out))).data
}

it.skipIf(!existsSync(candle))('a premultiplied file keeps its glow within 0.1 %', async () => {
  const own = await read(candle)
  const [glow, all] = energy(own.data, own.data)
  expect(glow / all).toBeGreaterThan(0.01)
  const made = await overBlack(candle, 'premultiplied', own, 'kept')
  const [kept, total] = energy(made, own.data)
  expect(Math.abs(kept / glow - 1)).toBeLessThan(1e-3)
  expect(Math.abs(total / all - 1)).toBeLessThan(1e-3)
})

it.skipIf(!existsSync(candle))(
  'straight in 16 whole bits loses what has no alpha, and all above 1',
  async () => {
    const own = await read(candle)
    const { width, height, data } = own
    // Colour over alpha, and nothing where that divides by 0: what a straight file can hold.
    const straight = data.map((v, i) => {
      const a = Math.min(Math.max(data[i | 3] as number, 0), 1)
      return i % 4 === 3 ? a : a > 0 ? Math.min(Math.max(v / a, 0), 1) : 0
    })
    const held = straight.reduce((sum, v, i) => sum + (i % 4 === 3 ? 0 : v * (straight[i | 3] as number)), 0)
    writePictures(join(root, 'straight'), 'x', 1, () => ({ width, height, channels: 4, data: straight }))
    const made = await overBlack(join(root, 'straight', 'x.0000.png'), 'straight', own, 'lost')
    const [none, total] = energy(made, data)
    const [glow, all] = energy(data, data)
    expect(none).toBe(0)
    expect(total / held).toBeCloseTo(1, 3)
    console.log(
      `a straight PNG keeps ${((100 * total) / all).toFixed(1)} % of the candle's light: ${((100 * glow) / all).toFixed(1)} % lay where alpha is 0, the rest above 1 once divided by alpha`,
    )
  },
)
