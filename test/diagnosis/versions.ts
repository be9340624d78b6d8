/** Versions of a real element: straight or multiplied in one of four ways, as PNG, ProRes 4444 and WebM, by the codec library's encoders. */
import { join } from 'node:path'
import { openSource } from '../../src/media/index.js'
import { makeMovie, makePicture } from '../media/fixture.js'

/** Straight R′, G′, B′ and alpha, shares. */
export interface Straight {
  readonly width: number
  readonly height: number
  readonly rgba: Float32Array
}

/** [porter1984]: what is stored for a straight colour `c` under cover `a`. */
export const kinds = {
  straight: (c: number, _a: number) => c,
  premultiplied: (c: number, a: number) => c * a,
  'on white': (c: number, a: number) => c * a + 1 - a,
  'doubly multiplied': (c: number, a: number) => c * a * a,
} as const
export type KindName = keyof typeof kinds

export const formats = ['png-8', 'png-16', 'prores-4444', 'webm'] as const
export type Format = (typeof formats)[number]

/** Larger pictures only take longer. */
const MOST = 400

/** IEC 61966-2-1. */
const srgb = (l: number) => (l <= 0.0031308 ? 12.92 * l : 1.055 * l ** (1 / 2.4) - 0.055)

/** Middle of a frame as straight codes, even in size; of premultiplied light its colours are divided and coded. */
export async function straightOf(path: string, frame: number): Promise<Straight> {
  const source = await openSource(path)
  try {
    for await (const { planes, layout, width: w, height: h } of source.frames(frame, 1)) {
      const [width, height] = [Math.min(w - (w % 2), MOST), Math.min(h - (h % 2), MOST)]
      const [x0, y0] = [(w - width) >> 1, (h - height) >> 1]
      const top = layout.float ? 1 : 2 ** layout.bits - 1
      const rgba = new Float32Array(4 * width * height)
      for (let p = 0; p < width * height; p++) {
        const q = (y0 + Math.floor(p / width)) * w + x0 + (p % width)
        const a = Math.min(Math.max(planes[3].data[q] / top, 0), 1)
        rgba[4 * p + 3] = a
        for (let c = 0; c < 3; c++) {
          const v = planes[c].data[q] / top
          const straight = !layout.float ? v : a > 0 ? srgb(Math.max(v / a, 0)) : 0
          rgba[4 * p + c] = Math.min(straight, 1)
        }
      }
      return { width, height, rgba }
    }
  } finally {
    await source.close()
  }
  throw new Error(`no frame ${frame} in ${path}`)
}

export async function writeVersion(
  folder: string,
  s: Straight,
  kind: KindName,
  format: Format,
): Promise<string> {
  const stored = s.rgba.slice()
  for (let i = 0; i < stored.length; i += 4)
    for (let c = 0; c < 3; c++) stored[i + c] = Math.min(kinds[kind](s.rgba[i + c], s.rgba[i + 3]), 1)
  const name = join(folder, `${kind.replace(' ', '-')}-${format}`)
  const size = { width: s.width, height: s.height }
  if (format === 'png-8' || format === 'png-16') {
    const bits = format === 'png-8' ? 8 : 16
    const bytes = Buffer.alloc((stored.length * bits) / 8)
    for (let i = 0; i < stored.length; i++) {
      const code = Math.round(stored[i] * (2 ** bits - 1))
      if (bits === 8) bytes[i] = code
      else bytes.writeUInt16BE(code, 2 * i)
    }
    await makePicture(`${name}.png`, 'png', bits === 8 ? 'rgba' : 'rgba64be', s.width, s.height, bytes)
    return `${name}.png`
  }
  const prores = format === 'prores-4444'
  const path = `${name}.${prores ? 'mov' : 'webm'}`
  await makeMovie(path, {
    ...size,
    encoder: prores ? 'prores_ks' : 'libvpx-vp9',
    format: prores ? 'yuva444p10le' : 'yuva420p',
    frames: [planesOf(stored, s.width, s.height, prores ? 10 : 8, prores ? 1 : 2)],
    tags: [1, 1, 1, 1],
    options: prores
      ? { profile: '4444', alpha_bits: 16 }
      : { crf: 18, b: 0, deadline: 'good', 'cpu-used': 5 },
  })
  return path
}

/** BT.709 limited, alpha full; chroma is the mean of `step` × `step` pixels. */
function planesOf(rgba: Float32Array, width: number, height: number, bits: 8 | 10, step: 1 | 2): Buffer {
  const unit = 2 ** (bits - 8)
  const all: number[] = []
  const luma = (i: number) => 0.2126 * rgba[i] + 0.7152 * rgba[i + 1] + 0.0722 * rgba[i + 2]
  for (let i = 0; i < rgba.length; i += 4) all.push(unit * (16 + 219 * luma(i)))
  for (const [c, span] of [
    [2, 1.8556],
    [0, 1.5748],
  ])
    for (let y = 0; y < height; y += step)
      for (let x = 0; x < width; x += step) {
        let sum = 0
        for (let v = y; v < y + step; v++)
          for (let u = x; u < x + step; u++) {
            const i = 4 * (v * width + u)
            sum += (rgba[i + c] - luma(i)) / span / step ** 2
          }
        all.push(unit * (128 + 224 * sum))
      }
  for (let i = 3; i < rgba.length; i += 4) all.push(rgba[i] * (2 ** bits - 1))
  const out = Buffer.alloc(all.length * (bits > 8 ? 2 : 1))
  for (const [i, v] of all.entries()) {
    const code = Math.min(Math.max(Math.round(v), 0), 2 ** bits - 1)
    if (bits > 8) out.writeUInt16LE(code, 2 * i)
    else out[i] = code
  }
  return out
}
