/**
 * The viewing transform of pictures in reports: linear light in the plate's primaries to sRGB code values.
 *
 * SDR plates (camera and display power curves): light goes to BT.709 primaries and back through the plate's own
 * curve; the code values are shown as they are, so an untouched BT.709 plate looks as it does in a player.
 *
 * PQ, HLG and linear plates: BT.709 primaries, for HLG the system gamma of a 1000 cd/m² display
 * (L·Y^0.2 [bt2100 Table 5], diffuse white unchanged), then a shoulder per channel and the sRGB curve:
 *
 *   s(L) = L for L ≤ k,  k + (1 − k)·u/(1 + u) above, u = (L − k)/(1 − k),  k = 0.7
 *
 * Slope 1 at the join, diffuse white (1) at 0.85, 5 × white at 0.98; nothing ever quite clips. Middle grey and all
 * below 0.7 stay as they are.
 *
 * Source: common practice for the shoulder; [iec61966-2-1] for sRGB.
 */
import type { ColourEncoding, FloatImage, Rgb } from '../core/index.js'
import { curveOf } from './curves.js'
import { transform3 } from './matrix3.js'
import { conversion, luminanceRow } from './primaries.js'

const KNEE = 0.7
const STEPS = 16384
const Y709 = luminanceRow('bt709')

export interface ViewOptions {
  /** Push in stops of light before the view; 0 when absent. */
  readonly stops?: number
  /** Gain on the shown code values, black stays black; 1 when absent. 4 shows what hides in the blacks. */
  readonly blackBoost?: number
}

function wide(encoding: ColourEncoding): boolean {
  return encoding.curve === 'pq' || encoding.curve === 'hlg' || encoding.curve === 'linear'
}

function shoulder(light: number): number {
  if (light <= KNEE) return light
  if (light === Number.POSITIVE_INFINITY) return 1
  const u = (light - KNEE) / (1 - KNEE)
  return KNEE + ((1 - KNEE) * u) / (1 + u)
}

/** Code value of one channel of BT.709 light, held to 0…1; NaN shows as 0. */
function codeOf(encoding: ColourEncoding): (light: number) => number {
  const encode = curveOf(wide(encoding) ? 'srgb' : encoding.curve).encode
  const shown = wide(encoding) ? (light: number) => encode(shoulder(light)) : encode
  return (light) => (light > 0 ? Math.min(shown(light), 1) : 0)
}

/** HLG's system gamma as a factor on light of luminance `y`. */
function systemGain(y: number): number {
  return y > 0 ? y ** 0.2 : 0
}

/** Linear colour in the plate's primaries to sRGB code values 0…1. */
export function viewing(encoding: ColourEncoding): (rgb: Rgb) => Rgb {
  const m = conversion(encoding.primaries, 'bt709')
  const code = codeOf(encoding)
  return (rgb) => {
    const [r, g, b] = transform3(m, rgb)
    const gain = encoding.curve === 'hlg' ? systemGain(Y709[0] * r + Y709[1] * g + Y709[2] * b) : 1
    return [code(gain * r), code(gain * g), code(gain * b)]
  }
}

/**
 * A linear picture in the plate's primaries as 8-bit sRGB, three bytes a pixel; alpha is not looked at. Codes come
 * from a table of 16384 steps of the square root of light and may differ from `viewing` by one.
 */
export function viewImage(
  image: FloatImage,
  encoding: ColourEncoding,
  options: ViewOptions = {},
): Uint8Array {
  const push = 2 ** (options.stops ?? 0)
  const m = conversion(encoding.primaries, 'bt709')
  const hlg = encoding.curve === 'hlg'
  const top = wide(encoding) ? 64 : 1.05
  const table = viewTable(codeOf(encoding), top, options.blackBoost ?? 1)
  const scale = STEPS / Math.sqrt(top)
  const { data } = image
  const out = new Uint8Array((data.length >> 2) * 3)
  for (let i = 0, o = 0; i < data.length; i += 4, o += 3) {
    const r = (data[i] as number) * push
    const g = (data[i + 1] as number) * push
    const b = (data[i + 2] as number) * push
    const r7 = m[0] * r + m[1] * g + m[2] * b
    const g7 = m[3] * r + m[4] * g + m[5] * b
    const b7 = m[6] * r + m[7] * g + m[8] * b
    const gain = hlg ? systemGain(Y709[0] * r7 + Y709[1] * g7 + Y709[2] * b7) : 1
    out[o] = table[step(r7 * gain, scale)] as number
    out[o + 1] = table[step(g7 * gain, scale)] as number
    out[o + 2] = table[step(b7 * gain, scale)] as number
  }
  return out
}

function step(light: number, scale: number): number {
  return light > 0 ? Math.min(Math.sqrt(light) * scale + 0.5, STEPS) | 0 : 0
}

function viewTable(code: (light: number) => number, top: number, boost: number): Uint8Array {
  const table = new Uint8Array(STEPS + 1)
  for (let i = 0; i <= STEPS; i++) {
    const light = top * (i / STEPS) ** 2
    table[i] = Math.min(Math.round(255 * boost * code(light)), 255)
  }
  return table
}
