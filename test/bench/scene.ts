/** The files that renders are timed on: a plate with grain and detail, and an element with soft edges over part of it. */
import { mkdir, rm, writeFile } from 'node:fs/promises'
import { join } from 'node:path'
import { allocateFrame, type ColourEncoding, type PixelLayout, type Region } from '../../src/core/index.js'
import { createWriter } from '../../src/media/index.js'
import { loopClip } from './codecs/loop.js'
import { type Painter, paintPlate, paintSmoke } from './paint.js'

export interface Scene {
  readonly folder: string
  readonly shot: string
  readonly plate: string
  readonly element: string
  /** Where the element lies in the plate, to whole pixels. */
  readonly part: Region
  readonly frames: number
  /** `1920x1080`. */
  readonly size: string
}

/** Frames that are painted and encoded; a clip is these over and over. */
const PAINTED = 8
const encoding: ColourEncoding = {
  range: 'limited',
  matrix: 'bt709',
  curve: 'bt709',
  primaries: 'bt709',
  siting: 'left',
}

/** `share`: of the frame's width and height that the element covers, 0.5 for a quarter of the frame. */
export async function makeScene(
  folder: string,
  size: { readonly width: number; readonly height: number },
  share: 0.5 | 1,
  frames: number,
): Promise<Scene> {
  await mkdir(folder, { recursive: true })
  const { width, height } = size
  const part = { width: width * share, height: height * share }
  const plate = join(folder, 'plate.mov')
  const element = join(folder, 'smoke.mov')
  await clip(plate, 'prores-422-hq', size, frames, paintPlate)
  await clip(element, 'prores-4444', part, frames, paintSmoke)
  const set = (value: readonly number[]) => ({ value, evidence: { kind: 'set' } })
  const document = {
    platefit: 1,
    plate: {
      file: 'plate.mov',
      curve: 'bt709',
      treatments: {
        'lens.distortion': set([-0.002, 0, 0, 0, 0]),
        'lens.aberration': set([1.0007, 0.9995]),
        'sensor.grainLevels': set([0.05, 0.5]),
        'sensor.grainVariance': set([2e-5, 2e-4, 2e-5, 2e-4, 2e-5, 2e-4]),
        'sensor.grainCorrelation': set(Array(12).fill(0.3)),
        'sensor.grainMix': set([0.4, 0.3, 0.4]),
      },
    },
    elements: [
      {
        id: 'smoke',
        file: 'smoke.mov',
        alpha: 'straight',
        nature: 'absorbs',
        position: { x: width / 2 + 0.3, y: height / 2 + 0.4 },
        scale: 0.99,
        treatments: {
          'light.elementBlack': set([0.02, 0.02, 0.02]),
          'light.elementMiddle': set([0.2, 0.2, 0.2]),
          'light.elementWhite': set([0.6, 0.6, 0.6]),
          'light.plateBlack': set([0.03, 0.03, 0.04]),
          'light.plateMiddle': set([0.2, 0.22, 0.25]),
          'light.plateWhite': set([0.5, 0.5, 0.52]),
          'air.transmittance': set([0.9, 0.89, 0.87]),
          'air.airlight': set([0.5, 0.55, 0.6]),
          'lens.blurRadius': set([6]),
          'sensor.elementVariance': set([1e-6, 1e-6, 1e-6]),
        },
      },
    ],
  }
  const shot = join(folder, 'bench.shot.json')
  await writeFile(shot, JSON.stringify(document))
  const [x, y] = [(width - part.width) / 2, (height - part.height) / 2]
  return { folder, shot, plate, element, part: { x, y, ...part }, frames, size: `${width}x${height}` }
}

async function clip(
  path: string,
  format: 'prores-422-hq' | 'prores-4444',
  { width, height }: { readonly width: number; readonly height: number },
  frames: number,
  paint: Painter,
): Promise<void> {
  const alpha = format === 'prores-4444'
  const short = `${path}.short.mov`
  const writer = await createWriter(short, {
    format,
    width,
    height,
    rate: { num: 24, den: 1 },
    encoding,
    alpha,
  })
  try {
    for (let i = 0; i < Math.min(PAINTED, frames); i++) {
      const frame = allocateFrame(writer.layout as PixelLayout, width, height)
      paint(frame, i)
      await writer.write(frame)
    }
    await writer.finish()
    await loopClip(short, path, frames)
  } catch (e) {
    await writer.abort()
    throw e
  } finally {
    await rm(short, { force: true })
  }
}
