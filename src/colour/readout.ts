/**
 * What stands under the pointer, in the words that people on a set use.
 *
 *   stops        log2(light / 0.18)                           middle grey is 0; none where there is no light
 *   code         v·219·2^(n−8) + 16·2^(n−8)   limited range   v·(2^n − 1)   full range; light itself of float files
 *   hue          of the hexcone, degrees; saturation (max − min)/max; brightness max, of the code as a share of white
 *
 * Source: [bt709] for the codes, [smith1978] for the hexcone.
 */
import type { ColourEncoding, PixelLayout, Rgb } from '../core/index.js'
import { channelCurves } from './response/encoding.js'

export interface Readout {
  /** In the plate's primaries, 1 = diffuse white. */
  readonly linear: Rgb
  readonly stops: readonly [number | null, number | null, number | null]
  readonly code: Rgb
  /** Degrees 0 to 360, then two shares. */
  readonly hsb: Rgb
}

export function readout(
  linear: Rgb,
  encoding: ColourEncoding,
  { bits, float }: Pick<PixelLayout, 'bits' | 'float'>,
): Readout {
  const curves = channelCurves(encoding)
  const share = (c: 0 | 1 | 2) => (float ? linear[c] : curves[c].encode(linear[c]))
  const shares: Rgb = [share(0), share(1), share(2)]
  const [scale, offset] = float
    ? [1, 0]
    : encoding.range === 'full'
      ? [2 ** bits - 1, 0]
      : [219 * 2 ** (bits - 8), 16 * 2 ** (bits - 8)]
  const code = (c: 0 | 1 | 2) => offset + scale * shares[c]
  const stop = (light: number) => (light > 0 ? Math.log2(light / 0.18) : null)
  return {
    linear,
    stops: [stop(linear[0]), stop(linear[1]), stop(linear[2])],
    code: [code(0), code(1), code(2)],
    hsb: hexcone(shares),
  }
}

function hexcone([r, g, b]: Rgb): Rgb {
  const most = Math.max(r, g, b)
  const span = most - Math.min(r, g, b)
  if (!(span > 0)) return [0, 0, most]
  const sixth = most === r ? ((g - b) / span + 6) % 6 : most === g ? (b - r) / span + 2 : (r - g) / span + 4
  return [60 * sixth, most > 0 ? span / most : 0, most]
}
