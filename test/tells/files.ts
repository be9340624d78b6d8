/** Numbered PNG pictures of 16 bits, with or without alpha, written by hand [png3]: what is read was not written by `src`. */
import { mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { crc32, deflateSync } from 'node:zlib'

/** Interleaved RGB or RGBA in light (alpha as it stands). */
export interface Painted {
  readonly width: number
  readonly height: number
  readonly channels: 3 | 4
  readonly data: Float32Array
}

/** IEC 61966-2-1. */
export function srgbCode(light: number): number {
  const l = Math.min(Math.max(light, 0), 1)
  return l <= 0.0031308 ? 12.92 * l : 1.055 * l ** (1 / 2.4) - 0.055
}

/** Writes `folder/name.0000.png` and on. Colour is coded as sRGB: straight, or with the code values times alpha. */
export function writePictures(
  folder: string,
  name: string,
  count: number,
  paint: (frame: number) => Painted,
  premultiplied = false,
): void {
  mkdirSync(folder, { recursive: true })
  for (let f = 0; f < count; f++) {
    const { width, height, channels, data } = paint(f)
    const codes = Uint16Array.from(data, (v, i) => {
      if (channels === 3) return Math.round(65535 * srgbCode(v))
      const alpha = Math.min(Math.max(data[i | 3] as number, 0), 1)
      return Math.round(65535 * (i % 4 === 3 ? alpha : srgbCode(v) * (premultiplied ? alpha : 1)))
    })
    writePng(join(folder, `${name}.${String(f).padStart(4, '0')}.png`), width, height, channels, codes)
  }
}

export function writePng(
  path: string,
  width: number,
  height: number,
  channels: 3 | 4,
  codes: Uint16Array,
): void {
  const stride = 2 * channels * width
  const raw = Buffer.alloc((stride + 1) * height)
  for (let y = 0; y < height; y++)
    for (let i = 0; i < channels * width; i++)
      raw.writeUInt16BE(codes[y * channels * width + i] as number, y * (stride + 1) + 1 + 2 * i)
  const head = Buffer.alloc(13)
  head.writeUInt32BE(width, 0)
  head.writeUInt32BE(height, 4)
  head.set([16, channels === 4 ? 6 : 2, 0, 0, 0], 8)
  writeFileSync(
    path,
    Buffer.concat([
      Buffer.from([137, 80, 78, 71, 13, 10, 26, 10]),
      chunk('IHDR', head),
      chunk('IDAT', deflateSync(raw, { level: 1 })),
      chunk('IEND', Buffer.alloc(0)),
    ]),
  )
}

function chunk(kind: string, body: Buffer): Buffer {
  const out = Buffer.alloc(12 + body.length)
  out.writeUInt32BE(body.length, 0)
  out.write(kind, 4, 'latin1')
  body.copy(out, 8)
  out.writeUInt32BE(crc32(out.subarray(4, 8 + body.length)) >>> 0, 8 + body.length)
  return out
}
