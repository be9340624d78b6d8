/**
 * A view through a `.cube` table of the artist's, in place of our own viewing transform: linear light goes back through
 * the plate's curve to the code values that the camera wrote, the table turns those into what a display is sent, and
 * that is shown as it is. Common practice for tables of camera makers and of a film's own look; what the table's lattice
 * does not reach is held to its edge.
 */
import { type ColourEncoding, type FloatImage, primariesWords, type Rgb } from '../core/index.js'
import { applyCube, type CubeTable, cube } from './cube/index.js'
import { channelCurves, curveWords } from './response/encoding.js'
import type { ViewOptions } from './viewing.js'

/** The view in words, for the page that shows the pictures. `name` is the table's file. */
export function tableViewingWords(encoding: ColourEncoding, table: CubeTable, name: string): string {
  const title = table.title === undefined ? name : `${name} (${table.title})`
  return `Viewing table ${title}: it was given the plate's code values (${primariesWords(encoding.primaries)} primaries, ${curveWords(encoding)}), and what it gives is shown as it is. The table changes these pictures alone: nothing is measured or rendered through it.`
}

/** Linear colour in the plate's primaries to shown code values 0…1. */
export function tableViewing(encoding: ColourEncoding, table: CubeTable): (rgb: Rgb) => Rgb {
  const [ofRed, ofGreen, ofBlue] = channelCurves(encoding)
  const look = cube(table)
  return ([r, g, b]) => {
    const [red, green, blue] = look([ofRed.encode(r), ofGreen.encode(g), ofBlue.encode(b)])
    return [held(red), held(green), held(blue)]
  }
}

/** A linear picture in the plate's primaries as 8 bits, three bytes a pixel; alpha is not looked at. */
export function viewImageThroughTable(
  image: FloatImage,
  encoding: ColourEncoding,
  table: CubeTable,
  options: ViewOptions = {},
): Uint8Array {
  const push = 2 ** (options.stops ?? 0)
  const boost = 255 * (options.blackBoost ?? 1)
  const curves = channelCurves(encoding)
  const { data } = image
  const codes = new Float32Array(data.length)
  for (const [c, { encode }] of curves.entries())
    for (let i = c; i < data.length; i += 4) codes[i] = encode((data[i] as number) * push)
  applyCube(codes, table)
  const out = new Uint8Array((codes.length >> 2) * 3)
  for (let i = 0, o = 0; i < codes.length; i += 4, o += 3) {
    for (let c = 0; c < 3; c++) out[o + c] = Math.min(Math.round(boost * held(codes[i + c] as number)), 255)
  }
  return out
}

/** NaN shows as 0. */
function held(code: number): number {
  return code > 0 ? Math.min(code, 1) : 0
}
