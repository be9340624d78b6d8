/**
 * An element cut out by a matte that is given.
 *
 *   P = max(C − (1 − α) B, 0)      α P / α less its spill      where the light B of the ground behind is known
 *   P = α C                                                    else: what shines through a soft edge stays in it
 */
import type { FloatImage } from '../../../core/index.js'
import { takeSpill } from '../key/spill.js'

/** @param light opaque @param alpha of every pixel */
export function cutOut(
  { region, data }: FloatImage,
  alpha: Float32Array,
  { ground, spill }: { readonly ground: FloatImage | undefined; readonly spill: number },
): FloatImage {
  const out = new Float32Array(data.length)
  const f: [number, number, number] = [0, 0, 0]
  const b: [number, number, number] = [0, 0, 0]
  for (let p = 0, i = 0; p < alpha.length; p++, i += 4) {
    const a = alpha[p] as number
    if (a === 0) continue
    for (const c of [0, 1, 2] as const) {
      b[c] = ground?.data[i + c] ?? 0
      f[c] = ground === undefined ? data[i + c]! : Math.max(data[i + c]! - (1 - a) * b[c], 0) / a
    }
    if (ground !== undefined) takeSpill(f, b, spill)
    for (const c of [0, 1, 2] as const) out[i + c] = a * f[c]
    out[i + 3] = a
  }
  return { region, data: out }
}
