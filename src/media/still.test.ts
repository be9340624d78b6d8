/** Pictures for reports, read back by the codec library's decoders. */
import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { encodeStill, openSource } from './index.js'

/** A slope in each channel, on a size whose rows are no multiple of anything. */
const [width, height] = [37, 21]
const rgb = Uint8Array.from({ length: width * height * 3 }, (_, i) => {
  const [x, y] = [Math.floor(i / 3) % width, Math.floor(i / 3 / width)]
  return [6 * x, 12 * y, 3 * x + 6 * y][i % 3]
})

it.each([
  ['png', 0],
  // Two codes a plane from rounding and the finest quantiser; blue takes 1 + 1.772 times that.
  ['jpeg', 5.6],
] as const)('%s keeps every pixel within %i', async (kind, within) => {
  const folder = await mkdtemp(join(tmpdir(), 'platefit-still-'))
  try {
    const path = join(folder, `still.${kind}`)
    await writeFile(path, await encodeStill(rgb, width, height, kind, 100))
    const source = await openSource(path)
    const { value: frame } = await source.frames().next()
    expect([frame!.width, frame!.height]).toEqual([width, height])
    const [a, b, c] = frame!.planes.map((p) => p.data)
    let worst = 0
    for (let i = 0; i < width * height; i++) {
      const [y, cb, cr] = [a![i]!, b![i]! - 128, c![i]! - 128]
      // Source: JFIF 1.02 §7.
      const got =
        kind === 'png'
          ? [a![i]!, b![i]!, c![i]!]
          : [y + 1.402 * cr, y - 0.344136 * cb - 0.714136 * cr, y + 1.772 * cb]
      for (const [k, v] of got.entries()) worst = Math.max(worst, Math.abs(v - rgb[3 * i + k]!))
    }
    expect(worst).toBeLessThanOrEqual(within)
  } finally {
    await rm(folder, { recursive: true })
  }
})
