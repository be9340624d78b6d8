/**
 * Ceiling: an emitter's core, clipped in its file, rebuilt to plausible light above it.
 *
 *   L = v_c / P_c        c: the first whole channel, red before green before blue, that Planck's colour holds enough of
 *   v_k = max(v_k, L · P_k)    for every channel k
 *
 *   P  Planck's colour at the body's temperature, luminance 1
 *
 * A channel counts as clipped from 0.9 of the ceiling on: codecs ring and bend there; between 0.9 and 1 the rebuilt light comes
 * in by degrees. Where no channel is whole the light is the most that any of them asks for as it stands: a lower bound. An
 * assumption, and said so: it makes the light that the core casts right in kind. Source: [planck1901].
 */
import type { FloatImage, Rgb } from '../../../core/index.js'

/** Share of the ceiling above which a channel counts as clipped. */
export const NEAR_CEILING = 0.9
/** Least share of Planck's colour that a channel must hold to ask for the others. */
const ENOUGH = 0.05

/** Luminance that the whole channels of a clipped pixel ask for; 0 when the pixel is not clipped. */
export function askedLuminance(r: number, g: number, b: number, ceiling: number, planck: Rgb): number {
  const near = NEAR_CEILING * ceiling
  if (r <= near && g <= near && b <= near) return 0
  if (r <= near && planck[0] > ENOUGH) return r / planck[0]
  if (g <= near && planck[1] > ENOUGH) return g / planck[1]
  if (b <= near && planck[2] > ENOUGH) return b / planck[2]
  return Math.max(asked(r, planck[0]), asked(g, planck[1]), asked(b, planck[2]))
}

function asked(v: number, share: number): number {
  return share > ENOUGH ? v / share : 0
}

/** In place on linear light in the element's primaries. */
export function rebuildCores(image: FloatImage, ceiling: number, planck: Rgb): void {
  const d = image.data
  for (let i = 0; i < d.length; i += 4) {
    const r = d[i] as number
    const g = d[i + 1] as number
    const b = d[i + 2] as number
    const light = askedLuminance(r, g, b, ceiling, planck)
    if (light === 0) continue
    const most = Math.max(r, g, b) / ceiling
    const share = Math.min((most - NEAR_CEILING) / (1 - NEAR_CEILING), 1)
    for (let c = 0; c < 3; c++) {
      const v = d[i + c] as number
      d[i + c] = v + share * Math.max(light * (planck[c] as number) - v, 0)
    }
  }
}
