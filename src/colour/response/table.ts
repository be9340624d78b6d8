/**
 * A measured response as the shot document holds it: rows of light and the codes R′ G′ B′ that it makes.
 *
 * A chart or a card says how light and code go together, not how bright or in which light it stood. So each channel is
 * set to the file's own curve at middle grey: the code that the named curve gives for 0.18 means 0.18.
 *
 *   light′ = light · 0.18 / f⁻¹(code of 0.18)     per channel
 *
 * Exposure and white balance stay what they are without a response, however the chart was lit; what changes is the shape.
 *
 * In coloured light the channels end at different lights: a channel goes on as the others do from its end, for cameras
 * bend all three alike.
 *
 * Read back: between the rows straight in stops. Above the last row straight in light, as the last two rows go. Below the
 * first row the named curve, scaled to meet that row, so that black stays black; straight in light where the named curve
 * holds that row for black already. Source: common practice.
 */
import type { CurveName } from '../../core/index.js'
import type { Curve } from '../curves/curve.js'
import { curveOf } from '../curves/index.js'
import { decodeResponse, encodeResponse, type Response } from './curve.js'

/** Light to code and back, of one channel. */
export type ChannelCurve = Pick<Curve, 'decode' | 'encode'>

const COLUMNS = 4
const MOST_ROWS = 40
const STEP = 0.125
const GREY = 0.18
/** What powers of two and back may lose. */
const NEAR = 1e-9

/**
 * @param response as `fitResponse` gives it
 * @param curve that the file names
 * @returns rows, at most 40; or why there are none
 */
export function responseTable(
  response: Response,
  curve: CurveName,
): number[] | { readonly cannotTell: string } {
  const { greyCode } = curveOf(curve)
  const channels: Scaled[] = []
  for (const { codes, lights } of response) {
    const [first, last] = [codes[0] as number, codes.at(-1) as number]
    if (greyCode < first || greyCode > last) {
      return {
        cannotTell: `its codes, ${first.toFixed(2)} to ${last.toFixed(2)}, leave out those of middle grey, ${greyCode.toFixed(2)}: it stood too dark or too bright`,
      }
    }
    const gain = GREY / decodeResponse({ codes, lights })(greyCode)
    const own = lights.map((v) => v * gain)
    const [low, high] = [own[0] as number, own.at(-1) as number]
    channels.push({ encode: encodeResponse({ codes, lights: own }), low, high })
  }
  const from = Math.log2(Math.min(...channels.map((s) => s.low)))
  const to = Math.log2(Math.max(...channels.map((s) => s.high)))
  const steps = Math.min(Math.ceil((to - from) / STEP), MOST_ROWS - 1)
  const rows: number[] = []
  for (let i = 0; i <= steps; i++) {
    const light = 2 ** (from + ((to - from) * i) / steps)
    const row = [light, ...channels.map((s) => codeAt(s, light, channels))].map(rounded)
    if (row.every((v, k) => i === 0 || v > (rows.at(k - COLUMNS) as number))) rows.push(...row)
  }
  return rows
}

interface Scaled {
  readonly encode: (light: number) => number
  readonly low: number
  readonly high: number
}

/** Beyond a channel's own end: from its code there it goes on as those do on average that reach further. */
function codeAt(own: Scaled, light: number, all: readonly Scaled[]): number {
  const end = Math.min(Math.max(light, own.low), own.high)
  const further = all.filter((s) => light >= s.low * (1 - NEAR) && light <= s.high * (1 + NEAR))
  const rise = further.map((s) => s.encode(light) - s.encode(end))
  return light === end ? own.encode(light) : own.encode(end) + rise.reduce((a, b) => a + b, 0) / rise.length
}

/** Why rows make no curve; undefined when they do. */
export function responseFault(rows: readonly number[]): string | undefined {
  if (rows.length % COLUMNS !== 0 || rows.length < 2 * COLUMNS)
    return `${rows.length} numbers, not two or more rows of light, R, G, B`
  if ((rows[0] as number) <= 0) return 'a light that is not above 0'
  const at = rows.findIndex((v, i) => i >= COLUMNS && v <= (rows[i - COLUMNS] as number))
  return at < 0 ? undefined : `row ${Math.floor(at / COLUMNS)} that does not rise above the one before`
}

/**
 * The curves of R, G and B by rows of a document.
 *
 * @param curve that the file names, for what lies below the first row
 * @throws Problem `colour.response-table` where the rows do not rise
 */
export function responseCurves(
  rows: readonly number[],
  curve: CurveName,
): readonly [ChannelCurve, ChannelCurve, ChannelCurve] {
  const column = (k: number) => rows.filter((_, i) => i % COLUMNS === k)
  const lights = column(0)
  const channel = (k: number) => extended({ codes: column(k), lights }, curve)
  return [channel(1), channel(2), channel(3)]
}

type Table = Parameters<typeof decodeResponse>[0]

function extended(table: Table, name: CurveName): ChannelCurve {
  const inside = { decode: decodeResponse(table), encode: encodeResponse(table) }
  const named = curveOf(name)
  const [code, light] = [table.codes[0] as number, table.lights[0] as number]
  const gain = light / named.decode(code)
  if (!(gain > 0 && Number.isFinite(gain))) return inside
  return {
    decode: (v) => (v < code ? gain * named.decode(v) : inside.decode(v)),
    encode: (v) => (v < light ? named.encode(v / gain) : inside.encode(v)),
  }
}

/** Five significant digits: finer than half a code of 12 bits. */
function rounded(v: number): number {
  return Number(v.toPrecision(5))
}
