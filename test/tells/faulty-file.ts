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
