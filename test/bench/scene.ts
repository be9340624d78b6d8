/** The files that renders are timed on: a plate with grain and detail, and an element with soft edges over part of it. */
import { mkdir, writeFile } from 'node:fs/promises'
import { join } from 'node:path'
import {
  allocateFrame,
  type ColourEncoding,
  type NativeFrame,
  type PixelLayout,
} from '../../src/core/index.js'
import { createWriter } from '../../src/media/index.js'

export interface Scene {
  readonly folder: string
  readonly shot: string
  readonly frames: number
  /** `1920x1080`. */
  readonly size: string
}

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
  await clip(join(folder, 'plate.mov'), 'prores-422-hq', size, frames, paintPlate)
  await clip(join(folder, 'smoke.mov'), 'prores-4444', part, frames, paintSmoke)
  const set = (value: readonly number[]) => ({ value, evidence: { kind: 'set' } })
  const shot = {
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
  const path = join(folder, 'bench.shot.json')
  await writeFile(path, JSON.stringify(shot))
  return { folder, shot: path, frames, size: `${width}x${height}` }
}

type Painter = (frame: NativeFrame, number: number) => void

async function clip(
  path: string,
  format: 'prores-422-hq' | 'prores-4444',
  { width, height }: { readonly width: number; readonly height: number },
  frames: number,
  paint: Painter,
): Promise<void> {
  const alpha = format === 'prores-4444'
  const writer = await createWriter(path, {
    format,
    width,
    height,
    rate: { num: 24, den: 1 },
    encoding,
    alpha,
  })
  try {
    const painted = Array.from({ length: PAINTED }, (_, i) => {
      const frame = allocateFrame(writer.layout as PixelLayout, width, height)
      paint(frame, i)
      return frame
    })
    for (let i = 0; i < frames; i++) await writer.write(painted[i % PAINTED] as NativeFrame)
    await writer.finish()
  } catch (e) {
    await writer.abort()
    throw e
  }
}

/** A slow gradient with stripes and noise: about as hard for a codec as a real plate. */
function paintPlate(frame: NativeFrame, number: number): void {
  const random = chance(number + 1)
  frame.planes.forEach(({ data, width, height }, p) => {
    const unit = 2 ** (frame.layout.bits - 10)
    for (let y = 0, i = 0; y < height; y++) {
      for (let x = 0; x < width; x++, i++) {
        const wave = Math.sin(x / 37 + number / 5) * Math.sin(y / 29) + 0.4 * Math.sin((x * y) / 5000)
        const level = p === 0 ? 400 + 0.2 * x * (1920 / width) + 60 * wave : 512 + 25 * wave
        data[i] = Math.max(0, Math.round(unit * (level + (p === 0 ? 14 : 5) * (random() + random() - 1))))
      }
    }
  })
}

/** Soft clouds that fill their frame and fade to its borders. */
function paintSmoke(frame: NativeFrame, number: number): void {
  const random = chance(number + 99)
  const top = 2 ** frame.layout.bits - 1
  frame.planes.forEach(({ data, width, height }, p) => {
    const unit = 2 ** (frame.layout.bits - 10)
    for (let y = 0, i = 0; y < height; y++) {
      for (let x = 0; x < width; x++, i++) {
        const u = (2 * x) / width - 1
        const v = (2 * y) / height - 1
        const puff = 0.6 + 0.4 * Math.sin(x / 61 + number / 3) * Math.cos(y / 47 - number / 4)
        const edge = Math.min(1, 8 * (1 - Math.max(Math.abs(u), Math.abs(v))))
        if (p === 3) data[i] = Math.round(top * edge * puff)
        else data[i] = Math.round(unit * (p === 0 ? 300 + 250 * puff + 6 * random() : 512 + 8 * puff))
      }
    }
  })
}

function chance(seed: number): () => number {
  let state = seed * 2654435761
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0
    return state / 2 ** 32
  }
}
