/**
 * Ceiling: an emitter's core, clipped in its file, rebuilt to plausible light above it.
 *
 *   L                    luminance that the whole channels ask for (`askedLuminance`)
 *   v_k = max(v_k, L · P_k)    for every channel k
 *
 *   P  Planck's colour at the body's temperature, luminance 1
 *
 * A channel counts as clipped from 0.9 of the ceiling on: codecs ring and bend there; between 0.9 and 1 the rebuilt light comes
 * in by degrees. Where no channel is whole the light is the most that any of them asks for as it stands: a lower bound. An
 * assumption, and said so: it makes the light that the core casts right in kind. Source: [planck1901].
 */
import { askedLuminance, type BlueOfGreen, NEAR_CEILING } from '../../../colour/clipped.js'
import { type FloatImage, POINTWISE, type Rgb } from '../../../core/index.js'
import { eachAbove } from '../../../kernels/index.js'

/** More than single precision rounds off, so that the search passes nothing over. */
const SINGLE = 1e-6

/** A core is rebuilt from its own pixel's other channels. */
export const ceilingReach = POINTWISE

/** In place on linear light in the element's primaries. @param rise the flame's blue against its green, where it is known */
export function rebuildCores(image: FloatImage, ceiling: number, planck: Rgb, rise?: BlueOfGreen): void {
  const d = image.data
  eachAbove(image, NEAR_CEILING * ceiling * (1 - SINGLE), (i) => {
    const r = d[i] as number
    const g = d[i + 1] as number
    const b = d[i + 2] as number
    const light = askedLuminance(r, g, b, ceiling, planck, rise)
    if (light === 0) return
    const most = Math.max(r, g, b) / ceiling
    const share = Math.min((most - NEAR_CEILING) / (1 - NEAR_CEILING), 1)
    for (let c = 0; c < 3; c++) {
      const v = d[i + c] as number
      d[i + c] = v + share * Math.max(light * (planck[c] as number) - v, 0)
    }
  })
}
