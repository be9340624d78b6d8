import { mkdirSync } from 'node:fs'
import { join } from 'node:path'
import { openSource } from '../../src/engine/index.js'
import { writePng } from './files.js'

/** The same pictures as 16-bit PNG with every code value raised by a share of the range. */
export async function shifted(folder: string, by: number): Promise<string> {
  const out = `${folder}-shifted`
  mkdirSync(out)
  const source = await openSource(folder)
  let f = 0
  for await (const frame of source.frames()) {
    const { width, height, planes } = frame
    const codes = new Uint16Array(3 * width * height)
    for (const [c, plane] of planes.entries())
      plane.data.forEach((v, p) => {
        codes[3 * p + c] = Math.min(Math.round((v as number) + by * 65535), 65535)
      })
    writePng(join(out, `out.${String(f++).padStart(4, '0')}.png`), width, height, 3, codes)
  }
  await source.close()
  return out
}

/**
 * A piece of a rendered picture as an element of its own: straight alpha, 1 inside and falling to 0 over the outer third of an
 * ellipse, so that nothing changes when it is laid where it came from.
 */
export async function piece(
  folder: string,
  out: string,
  at: { x: number; y: number; width: number; height: number },
): Promise<void> {
  mkdirSync(out)
  const source = await openSource(folder)
  let f = 0
  for await (const frame of source.frames()) {
    const codes = new Uint16Array(4 * at.width * at.height)
    for (let y = 0; y < at.height; y++) {
      for (let x = 0; x < at.width; x++) {
        const i = 4 * (y * at.width + x)
        for (let c = 0; c < 3; c++)
          codes[i + c] = frame.planes[c]?.data[(at.y + y) * frame.width + at.x + x] as number
        const d = Math.hypot((2 * x + 1) / at.width - 1, (2 * y + 1) / at.height - 1)
        codes[i + 3] = Math.round(65535 * Math.min(Math.max(3 * (0.98 - d), 0), 1))
      }
    }
    writePng(join(out, `piece.${String(f++).padStart(4, '0')}.png`), at.width, at.height, 4, codes)
  }
  await source.close()
}
