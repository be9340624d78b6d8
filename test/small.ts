/** A plate and an element small enough for tests of the whole program: numbered 16-bit pictures, made in a moment. */
import { join } from 'node:path'
import { allocateFrame } from '../src/core/index.js'
import { createWriter } from '../src/media/index.js'

export const SMALL = { width: 160, height: 96 } as const

type Paint = (x: number, y: number, frame: number) => readonly [number, number, number]

/** Writes `plate/` (a slope with noise) and `fire/` (a soft light on black) into `folder`. */
export async function smallFiles(folder: string, frames = 4): Promise<{ plate: string; fire: string }> {
  const noise = (x: number, y: number, f: number) =>
    (((x * 7919 + y * 104729 + f * 15485863) % 1009) / 1009 - 0.5) * 0.02
  const plate = join(folder, 'plate')
  await pictures(join(plate, 'plate.####.png'), SMALL.width, SMALL.height, frames, (x, y, f) => {
    const v = 0.15 + (0.5 * y) / SMALL.height + (0.1 * x) / SMALL.width + noise(x, y, f)
    return [v, v * 0.95, v * 0.9]
  })
  const fire = join(folder, 'fire')
  await pictures(join(fire, 'fire.####.png'), 64, 48, 4, (x, y) => {
    const v = Math.max(0, 1 - Math.hypot((x - 32) / 20, (y - 24) / 16))
    return [v, v * 0.6, v * 0.2]
  })
  return { plate, fire }
}

/** Writes 16-bit sRGB pictures; `paint` gives codes, 0 to 1. */
export async function pictures(
  path: string,
  width: number,
  height: number,
  frames: number,
  paint: Paint,
): Promise<void> {
  const encoding = {
    range: 'full',
    matrix: 'rgb',
    curve: 'srgb',
    primaries: 'bt709',
    siting: 'centre',
  } as const
  const writer = await createWriter(path, {
    format: 'png-16',
    width,
    height,
    rate: { num: 24, den: 1 },
    encoding,
  })
  for (let f = 0; f < frames; f++) {
    const frame = allocateFrame(writer.layout, width, height)
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        paint(x, y, f).forEach((v, c) => {
          frame.planes[c]!.data[y * width + x] = Math.round(65535 * Math.min(1, Math.max(0, v)))
        })
      }
    }
    await writer.write(frame)
  }
  await writer.finish()
}

/** Writes a grey movie of 64 × 48 pixels. */
export async function smallMovie(path: string, frames = 4): Promise<void> {
  const writer = await createWriter(path, {
    ...{ format: 'prores-422-hq', width: 64, height: 48, rate: { num: 24, den: 1 } },
    encoding: { range: 'limited', matrix: 'bt709', curve: 'bt709', primaries: 'bt709', siting: 'left' },
  })
  for (let f = 0; f < frames; f++) {
    const frame = allocateFrame(writer.layout, 64, 48)
    for (const plane of frame.planes) plane.data.fill(512)
    await writer.write(frame)
  }
  await writer.finish()
}
