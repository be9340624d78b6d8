/** Movies and pictures of the table, written by the codec library's own encoders. */
import { mkdir, writeFile } from 'node:fs/promises'
import { join } from 'node:path'
import { exrFile } from '../media/exrFile.js'
import { makeMovie, makePicture } from '../media/fixture.js'
import { type Coding, type Recording, record, yuv } from './camera.js'
import { Chance } from './chance.js'
import { HEIGHT, type Picture, WIDTH } from './paint.js'

/** Code points of H.273: range 1 limited, 2 full; matrix 1, 6, 9; curve 1, 13, 16, 18. */
const POINTS = {
  range: { limited: 1, full: 2 },
  matrix: { bt709: 1, bt601: 6, bt2020: 9 },
  curve: { bt709: 1, srgb: 13, pq: 16, hlg: 18 },
} as const

export interface Tags {
  readonly range: keyof typeof POINTS.range
  readonly matrix: keyof typeof POINTS.matrix
  readonly curve: keyof typeof POINTS.curve
}

export interface MovieJob {
  readonly name: string
  readonly frames: readonly Picture[]
  readonly camera: Recording
  readonly coding: Coding
  readonly tags: Tags
  readonly seed: number
  /** Absent: lossless. */
  readonly lossy?: { readonly encoder: string; readonly options: Readonly<Record<string, string | number>> }
  readonly rate?: number
  /** Flags each frame as interlaced, the top field first. */
  readonly interlaced?: true
  /** Changes the tight planes before they are encoded. */
  readonly change?: (planes: Buffer, frame: number) => Buffer
}

export async function writeMovie(folder: string, m: MovieJob): Promise<string> {
  const chance = new Chance(m.seed + 77)
  const planes = m.frames.map((f, i) => {
    const codes = yuv(record(f, m.camera, chance), m.coding)
    return m.change === undefined ? codes : m.change(codes, i)
  })
  return writePlanes(folder, m, planes)
}

export async function writePlanes(
  folder: string,
  m: Omit<MovieJob, 'frames' | 'camera' | 'change'>,
  planes: readonly Buffer[],
): Promise<string> {
  const encoder = m.lossy?.encoder ?? 'ffv1'
  const path = join(folder, `${m.name}.${m.lossy === undefined ? 'mkv' : 'mov'}`)
  const full =
    encoder === 'mjpeg'
      ? 'yuvj420p'
      : `yuv42${m.coding.subY ? '0' : '2'}p${m.coding.bits === 10 ? '10le' : ''}`
  const rate = m.rate ?? 24
  const primaries = m.tags.matrix === 'bt601' ? 6 : m.tags.matrix === 'bt2020' ? 9 : 1
  await makeMovie(path, {
    encoder,
    format: full,
    width: WIDTH,
    height: HEIGHT,
    frames: planes,
    rate: [rate, 1],
    tick: [1, rate],
    tags: [POINTS.range[m.tags.range], primaries, POINTS.curve[m.tags.curve], POINTS.matrix[m.tags.matrix]],
    ...(m.lossy === undefined ? {} : { options: m.lossy.options }),
    ...(m.interlaced === undefined ? {} : { interlaced: true }),
  })
  return path
}

/** R′, G′, B′ (, alpha) shares as PNG, 8 or 16 bits a channel. */
export async function writePng(
  path: string,
  samples: Float32Array,
  channels: 3 | 4,
  bits: 8 | 16,
): Promise<string> {
  const format = `${channels === 3 ? 'rgb' : 'rgba'}${bits === 8 ? (channels === 3 ? '24' : '') : channels === 3 ? '48be' : '64be'}`
  const top = 2 ** bits - 1
  const bytes = Buffer.alloc(samples.length * (bits / 8))
  for (let i = 0; i < samples.length; i++) {
    const code = Math.round(Math.min(Math.max(samples[i], 0), 1) * top)
    if (bits === 8) bytes[i] = code
    else bytes.writeUInt16BE(code, 2 * i)
  }
  await makePicture(path, 'png', format, WIDTH, HEIGHT, bytes)
  return path
}

/** One PNG a picture in a folder of its own. */
export async function writePngs(
  folder: string,
  name: string,
  pictures: readonly Float32Array[],
  channels: 3 | 4,
  bits: 8 | 16,
): Promise<string> {
  const own = join(folder, name)
  await mkdir(own, { recursive: true })
  for (const [i, p] of pictures.entries())
    await writePng(join(own, `${name}.${String(i).padStart(4, '0')}.png`), p, channels, bits)
  return own
}

export async function writeExr(path: string, rgba: Float32Array): Promise<string> {
  const plane = (c: number) => Float32Array.from({ length: WIDTH * HEIGHT }, (_, p) => rgba[4 * p + c])
  const window = [0, 0, WIDTH, HEIGHT] as const
  await writeFile(
    path,
    exrFile({
      channels: { A: plane(3), B: plane(2), G: plane(1), R: plane(0) },
      data: window,
      display: window,
    }),
  )
  return path
}
