/**
 * The viewing transform of pictures in reports: linear light in the plate's primaries to sRGB code values.
 *
 * SDR plates (camera and display power curves): light goes to BT.709 primaries and back through the plate's own
 * curve; the code values are shown as they are, so an untouched BT.709 plate looks as it does in a player.
 *
 * PQ, HLG, logarithmic and linear plates: BT.709 primaries; for HLG the system gamma of a 1000 cd/m² display (L·Y^0.2
 * [bt2100 Table 5], diffuse white unchanged); a colour outside BT.709 drawn towards its own grey until no channel is
 * negative; a shoulder; the sRGB curve. The shoulder is
 *
 *   s(L) = L for L ≤ k,  k + (1 − k)·u/(1 + u) above, u = (L − k)/(1 − k),  k = 0.4
 *
 * half of it per channel, half as one factor s(m)/m on all three (m the largest): highlights pale a little, and keep
 * their hue. Diffuse white (1) shows at 0.7 of the display's light, 5 × white at 0.93; middle grey stays.
 *
 * Source: common practice for shoulder and gamut; [iec61966-2-1] for sRGB.
 */
import { type ColourEncoding, type FloatImage, primariesWords, type Rgb } from '../core/index.js'
import { curveOf } from './curves/index.js'
import { conversion, luminanceRow } from './primaries.js'
import { channelCurves, curveWords } from './response/encoding.js'

const KNEE = 0.4
const STEPS = 16384
const Y709 = luminanceRow('bt709')

export interface ViewOptions {
  /** Push in stops of light before the view; 0 when absent. */
  readonly stops?: number
  /** Gain on the shown code values, black stays black; 1 when absent. 4 shows what hides in the blacks. */
  readonly blackBoost?: number
}

/** Whether the file's codes reach well beyond diffuse white: PQ, HLG, linear light and cameras' logarithmic curves. */
export function reachesBeyondWhite({ curve }: ColourEncoding): boolean {
  return curve === 'linear' || curveOf(curve).decode(1) > 2
}

/** The transform in words, for the page that shows the pictures. */
export function viewingWords(encoding: ColourEncoding): string {
  const start = `Viewing transform: the plate's light (${primariesWords(encoding.primaries)} primaries, ${curveWords(encoding)}) goes to BT.709 primaries, then`
  return reachesBeyondWhite(encoding)
    ? `${start} through a shoulder that leaves all below ${KNEE} as it is and shows diffuse white at 0.7 of the display's light, then through the sRGB curve.`
    : `${start} back through the plate's own curve, so the code values show as a player shows them.`
}

function shoulder(light: number): number {
  if (light <= KNEE) return light
  return 1 - (1 - KNEE) / (1 + (light - KNEE) / (1 - KNEE))
}

/** Light in the plate's primaries to the light that is shown, in BT.709 primaries, into `out`. */
function shown(encoding: ColourEncoding): (r: number, g: number, b: number, out: Float64Array) => void {
  const m = conversion(encoding.primaries, 'bt709')
  const hdr = reachesBeyondWhite(encoding)
  const hlg = encoding.curve === 'hlg'
  return (r, g, b, out) => {
    let red = m[0] * r + m[1] * g + m[2] * b
    let green = m[3] * r + m[4] * g + m[5] * b
    let blue = m[6] * r + m[7] * g + m[8] * b
    if (hdr) {
      const y = Y709[0] * red + Y709[1] * green + Y709[2] * blue
      const least = Math.min(red, green, blue)
      const pull = least < 0 && y > 0 ? y / (y - least) : 1
      const gain = hlg && y > 0 ? y ** 0.2 : 1
      red = gain * (y + (red - y) * pull)
      green = gain * (y + (green - y) * pull)
      blue = gain * (y + (blue - y) * pull)
      const most = Math.max(red, green, blue)
      if (most > KNEE) {
        const factor = shoulder(most) / most
        red = (factor * red + shoulder(red)) / 2
        green = (factor * green + shoulder(green)) / 2
        blue = (factor * blue + shoulder(blue)) / 2
      }
    }
    out[0] = red
    out[1] = green
    out[2] = blue
  }
}

type Code = (light: number) => number

/** Curves of R, G, B from shown light to the page's code, held to 0…1; NaN shows as 0. */
function codeOf(encoding: ColourEncoding): readonly [Code, Code, Code] {
  const [red, green, blue] = channelCurves(reachesBeyondWhite(encoding) ? { curve: 'srgb' } : encoding)
  const held =
    ({ encode }: { encode: Code }): Code =>
    (light) =>
      light > 0 ? Math.min(encode(light), 1) : 0
  const first = held(red)
  return [first, green === red ? first : held(green), blue === red ? first : held(blue)]
}

/** Linear colour in the plate's primaries to sRGB code values 0…1. */
export function viewing(encoding: ColourEncoding): (rgb: Rgb) => Rgb {
  const show = shown(encoding)
  const [red, green, blue] = codeOf(encoding)
  const out = new Float64Array(3)
  return ([r, g, b]) => {
    show(r, g, b, out)
    return [red(out[0] as number), green(out[1] as number), blue(out[2] as number)]
  }
}

/**
 * A linear picture in the plate's primaries as 8-bit sRGB, three bytes a pixel; alpha is not looked at. Codes come
 * from a table of 16384 steps of the square root of light and may differ from `viewing` by one.
 */
export function viewImage(image: FloatImage, encoding: ColourEncoding, options?: ViewOptions): Uint8Array {
  return imageViewer(encoding, options)(image)
}

/** The same made ready once for many pictures. */
export function imageViewer(
  encoding: ColourEncoding,
  options: ViewOptions = {},
): (image: FloatImage) => Uint8Array {
  const push = 2 ** (options.stops ?? 0)
  const show = shown(encoding)
  const tables = viewTables(codeOf(encoding), options.blackBoost ?? 1)
  if (!reachesBeyondWhite(encoding)) return codeViewer(encoding, push, tables)
  const light = new Float64Array(3)
  return ({ data }) => {
    const out = new Uint8Array((data.length >> 2) * 3)
    for (let i = 0, o = 0; i < data.length; i += 4, o += 3) {
      show((data[i] as number) * push, (data[i + 1] as number) * push, (data[i + 2] as number) * push, light)
      for (let c = 0; c < 3; c++) out[o + c] = (tables[c] as Uint8Array)[step(light[c] as number)] as number
    }
    return out
  }
}

/** Light in BT.709 primaries and codes by a table are all that there is to do. */
function codeViewer(
  { primaries }: ColourEncoding,
  push: number,
  [red, green, blue]: readonly [Uint8Array, Uint8Array, Uint8Array],
): (image: FloatImage) => Uint8Array {
  const [a, b, c, d, e, f, g, h, k] = conversion(primaries, 'bt709').map((v) => v * push) as unknown as Nine
  return ({ data }) => {
    const out = new Uint8Array((data.length >> 2) * 3)
    for (let i = 0, o = 0; i < data.length; i += 4, o += 3) {
      const x = data[i] as number
      const y = data[i + 1] as number
      const z = data[i + 2] as number
      out[o] = red[step(a * x + b * y + c * z)] as number
      out[o + 1] = green[step(d * x + e * y + f * z)] as number
      out[o + 2] = blue[step(g * x + h * y + k * z)] as number
    }
    return out
  }
}

type Nine = readonly [number, number, number, number, number, number, number, number, number]

function step(light: number): number {
  return light > 0 ? Math.min(Math.sqrt(light) * STEPS + 0.5, STEPS) | 0 : 0
}

function viewTables(
  codes: readonly [Code, Code, Code],
  boost: number,
): readonly [Uint8Array, Uint8Array, Uint8Array] {
  const one = (code: Code) =>
    Uint8Array.from({ length: STEPS + 1 }, (_, i) =>
      Math.min(Math.round(255 * boost * code((i / STEPS) ** 2)), 255),
    )
  const first = one(codes[0])
  const other = (code: Code) => (code === codes[0] ? first : one(code))
  return [first, other(codes[1]), other(codes[2])]
}
