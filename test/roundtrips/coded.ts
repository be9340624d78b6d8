/**
 * A still scene through a camera's encoder and back: 8-bit 4:2:0 as phones write it, H.264 or HEVC, the last of a few frames, each with
 * noise of its own.
 */
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { FloatImage } from '../../src/core/index.js'
import { linearFrame } from '../../src/engine/samples.js'
import { openSource } from '../../src/media/index.js'
import { makeMovie } from '../media/fixture.js'
import { filmed } from './film.js'

export interface Coder {
  readonly encoder: 'libx264' | 'libx265'
  /** Constant rate factor: 18 is hardly seen, 28 is. */
  readonly crf: number
}

const FRAMES = 3
/** Limited range, BT.709 primaries, the sRGB curve of `film.ts`, BT.709 matrix (code points of H.273). */
const TAGS = [1, 1, 13, 1] as const

export async function coded(scene: FloatImage, { encoder, crf }: Coder, seed: number): Promise<FloatImage> {
  const folder = await mkdtemp(join(tmpdir(), 'platefit-coded-'))
  try {
    const path = join(folder, 'coded.mp4')
    const frames = Array.from({ length: FRAMES }, (_, i) => planesOf(filmed(scene, FRAMES * seed + i)))
    const [width, height] = [scene.region.width & ~1, scene.region.height & ~1]
    const quiet = encoder === 'libx265' ? { 'x265-params': 'log-level=none' } : {}
    const options = { preset: 'medium', crf, ...quiet }
    await makeMovie(path, { encoder, format: 'yuv420p', width, height, frames, options, tags: TAGS })
    const source = await openSource(path)
    try {
      for await (const frame of source.frames(FRAMES - 1, 1)) return linearFrame(frame, source.info.encoding)
    } finally {
      await source.close()
    }
    throw new Error(`${path} holds no picture`)
  } finally {
    await rm(folder, { recursive: true, force: true })
  }
}

const encode = (v: number) => (v <= 0.0031308 ? 12.92 * v : 1.055 * v ** (1 / 2.4) - 0.055)

/** Y′CbCr codes, chroma the mean of four pixels ([bt709], [bt2100] for the quantisation). */
function planesOf({ region, data }: FloatImage): Buffer {
  const [w, h] = [region.width & ~1, region.height & ~1]
  const out = Buffer.alloc((w * h * 3) / 2)
  const cb = new Float64Array((w * h) / 4)
  const cr = new Float64Array((w * h) / 4)
  for (let y = 0; y < h; y++)
    for (let x = 0; x < w; x++) {
      const at = 4 * (y * region.width + x)
      const [r, g, b] = [encode(data[at]!), encode(data[at + 1]!), encode(data[at + 2]!)]
      const luma = 0.2126 * r + 0.7152 * g + 0.0722 * b
      out[y * w + x] = Math.round(16 + 219 * luma)
      const c = (y >> 1) * (w / 2) + (x >> 1)
      cb[c]! += (b - luma) / 1.8556 / 4
      cr[c]! += (r - luma) / 1.5748 / 4
    }
  cb.forEach((v, i) => {
    out[w * h + i] = Math.round(128 + 224 * v)
    out[w * h + cb.length + i] = Math.round(128 + 224 * cr[i]!)
  })
  return out
}
