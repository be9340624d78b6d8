/** Frames of a clip of 8-bit 4:2:0, as the baselines take them. */
import { openSource } from '../../src/media/index.js'
import { bt709Back, tableOf } from '../worlds/curves.js'

export interface Planes {
  readonly width: number
  readonly height: number
  /** Y, Cb, Cr one behind the other. */
  readonly bytes: Buffer
}

export async function planesOf(path: string): Promise<Planes[]> {
  const source = await openSource(path)
  const all: Planes[] = []
  for await (const { width, height, planes } of source.frames())
    all.push({ width, height, bytes: Buffer.concat(planes.map((p) => Buffer.from(p.data as Uint8Array))) })
  await source.close()
  return all
}

/** R′G′B′, 0 to 1, chroma drawn straight from sample to sample (left-sited): three numbers a pixel. */
export function codesOf({ width, height, bytes }: Planes): Float32Array {
  const n = width * height
  const [cw, ch] = [width >> 1, height >> 1]
  const out = new Float32Array(3 * n)
  for (let p = 0; p < n; p++) {
    const [x, y] = [p % width, Math.floor(p / width)]
    const [u, v] = [x / 2, (y - 0.5) / 2]
    const [i, j] = [Math.floor(u), Math.floor(v)]
    const [a, b] = [u - i, v - j]
    const at = (from: number) => {
      const sample = (di: number, dj: number) =>
        bytes[from + Math.min(Math.max(j + dj, 0), ch - 1) * cw + Math.min(i + di, cw - 1)]
      return (
        ((1 - b) * ((1 - a) * sample(0, 0) + a * sample(1, 0)) +
          b * ((1 - a) * sample(0, 1) + a * sample(1, 1)) -
          128) /
        224
      )
    }
    const luma = (bytes[p] - 16) / 219
    const [blue, red] = [at(n), at(n + cw * ch)]
    out[3 * p] = luma + 1.5748 * red
    out[3 * p + 1] = luma - 0.1873 * blue - 0.4681 * red
    out[3 * p + 2] = luma + 1.8556 * blue
  }
  return out
}

/** Linear light of a code value of the camera's curve. */
export const lightOf = tableOf(bt709Back, 1.3)

export function medianOf(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[values.length >> 1] ?? 0
}
