/**
 * What of a frame is surely screen, what is surely the element, and what must be asked.
 *
 *   g     share of the screen's light at a pixel: least squares of √C = g √B
 *   off   what is left of it, channel by channel, over the screen's noise; `soft` the same of its 3×3 mean
 *
 *   screen    off < 7, soft < 3.3, 0.55 < g < 1.35, no black hair (`thin.ts`), and so are its neighbours: a shadow on the screen, not a dark
 *             thing before it
 *   element   less than a tenth of the screen's light is in its 3×3 mean (`shareOfScreen`), and so is all within 3 px · u; or what no
 *             way leads to from the screen
 *             of a ground without hue, a plain wall: what is unlike it (`off`, or g, twice as far as a screen may be), and so is all within 3 px · u
 *   asked     the rest, as far as 32 px · u from the screen or from what is mostly its light and joined to it (between hairs none
 *             is bare); what lies farther in is the element
 *
 *   u  picture height / 540, at least 1
 *
 * Limits are choices.
 */
import type { FloatImage, Rgb } from '../../../core/index.js'
import { type Areas, COVERED, FREE } from '../screen/areas.js'
import type { Screen } from '../screen/model.js'
import { grown, shrunk } from './masks.js'
import { reached } from './reached.js'
import { hasHue, shareOfScreen } from './spill.js'
import { withoutThin } from './thin.js'

const OFF_SCREEN = 7
const SOFT_SCREEN = 3.3
const SCREEN_GAIN = [0.55, 1.35] as const
/** Of √light before a wall without hue: a dark thing looks like its shadow. */
const WALL_GAIN = [0.9, 1.1] as const
const SPARSE = 97
const SCREEN_IN_ELEMENT = 0.1
const MOSTLY_SCREEN = 0.5
const INSIDE = 3
const DEEPEST = 32

const CHANNELS = [0, 1, 2] as const

export const SCREEN = 0
export const ASKED = 1
export const ELEMENT = 2
/** Of neither, as a person drew it. */
export const NOTHING = 3

/** Of a picture: the length by which edges and hair grow with its size, px. */
export function unitOf(height: number): number {
  return Math.max(1, height / 540)
}

/**
 * @param light opaque linear light of a whole frame
 * @param roots √light of the screen at every pixel
 * @returns SCREEN, ASKED, ELEMENT or NOTHING a pixel
 */
export function regionsOf(
  light: FloatImage,
  roots: FloatImage,
  { noise }: Screen,
  areas: Areas | undefined,
): Uint8Array {
  const { width, height } = light.region
  const { off, soft, gain } = offScreen(light, roots, noise)
  const coloured = hasHue(meanOf(roots))
  const [least, most] = coloured ? SCREEN_GAIN : WALL_GAIN
  const count = width * height
  const like = new Uint8Array(count)
  for (let p = 0; p < count; p++) {
    const [o, g] = [off[p] as number, gain[p] as number]
    if (o < OFF_SCREEN && (soft[p] as number) < SOFT_SCREEN && g > least && g < most) like[p] = 1
  }
  const size = { width, height }
  const unit = unitOf(height)
  if (coloured) withoutThin(like, gain, size, unit, unevenness(roots, noise))
  const screen = shrunk(grown(shrunk(like, size, 1), size, 1), size, 1)
  const shares = coloured ? sharesOf(light, roots) : undefined
  const own = shares === undefined ? unlike(off, gain) : shares.map((v) => (v < SCREEN_IN_ELEMENT ? 1 : 0))
  const element = shrunk(Uint8Array.from(own), size, Math.round(INSIDE * unit))
  const open =
    shares === undefined
      ? screen
      : reached(
          screen,
          shares.map((v) => (v < MOSTLY_SCREEN ? 1 : 0)),
          size,
          count,
        )
  const near = reached(open, element, size, Math.round(DEEPEST * unit))
  const out = new Uint8Array(count)
  for (let p = 0; p < count; p++) out[p] = screen[p] === 1 ? SCREEN : near[p] === 1 ? ASKED : ELEMENT
  for (let p = 0; areas !== undefined && p < count; p++)
    if (areas[p] !== FREE) out[p] = areas[p] === COVERED ? ELEMENT : NOTHING
  return out
}

function offScreen(
  { region: { width, height }, data }: FloatImage,
  roots: FloatImage,
  noise: Screen['noise'],
) {
  const count = width * height
  const gain = new Float32Array(count)
  const [reds, greens, blues] = [new Float32Array(count), new Float32Array(count), new Float32Array(count)]
  const left = [reds, greens, blues] as const
  const off = new Float32Array(count)
  const [sigmaR, sigmaG, sigmaB] = noise
  for (let p = 0, i = 0; p < count; p++, i += 4) {
    const [br, bg, bb] = [roots.data[i]!, roots.data[i + 1]!, roots.data[i + 2]!]
    const r = Math.sqrt(Math.max(data[i]!, 0))
    const g = Math.sqrt(Math.max(data[i + 1]!, 0))
    const b = Math.sqrt(Math.max(data[i + 2]!, 0))
    const share = (br * r + bg * g + bb * b) / Math.max(br * br + bg * bg + bb * bb, 1e-9)
    gain[p] = share
    const [u, v, w] = [r - share * br, g - share * bg, b - share * bb]
    reds[p] = u
    greens[p] = v
    blues[p] = w
    off[p] = Math.max(Math.abs(u) / sigmaR, Math.abs(v) / sigmaG, Math.abs(w) / sigmaB)
  }
  const soft = new Float32Array(count)
  for (const c of [0, 1, 2] as const) {
    const mean = means(left[c], width, height)
    for (let p = 0; p < count; p++)
      soft[p] = Math.max(soft[p] as number, Math.abs(mean[p] as number) / noise[c])
  }
  return { off, soft, gain }
}

/** Of a wall without hue: what a shadow or the camera's noise does not make of it. */
function unlike(off: Float32Array, gain: Float32Array): Uint8Array {
  const [least, most] = WALL_GAIN.map((g) => 1 + 2 * (g - 1)) as [number, number]
  const out = new Uint8Array(off.length)
  for (let p = 0; p < out.length; p++)
    out[p] = off[p]! > 2 * OFF_SCREEN || gain[p]! < least || gain[p]! > most ? 1 : 0
  return out
}

/** Mean light, of every so many-th pixel. */
function meanOf({ data }: FloatImage): Rgb {
  const sum: [number, number, number] = [0, 0, 0]
  for (let i = 0; i < data.length; i += 4 * SPARSE) for (const c of CHANNELS) sum[c] += data[i + c]! ** 2
  return sum
}

/** Share of the screen's light in 3×3 pixels. */
function sharesOf({ region: { width, height }, data }: FloatImage, roots: FloatImage): Float32Array {
  const share = new Float32Array(width * height)
  const screen: [number, number, number] = [0, 0, 0]
  for (let p = 0; p < share.length; p++) {
    const i = 4 * p
    for (const c of CHANNELS) screen[c] = roots.data[i + c]! ** 2
    share[p] = Math.min(shareOfScreen(data[i]!, data[i + 1]!, data[i + 2]!, screen), 2)
  }
  return means(share, width, height)
}

/** σ of g on the screen: noise over √light, of the channel with the most. */
function unevenness({ data }: FloatImage, noise: Rgb): number {
  let [sum, n] = [0, 0]
  for (let i = 0; i < data.length; i += 4 * SPARSE, n++) sum += Math.max(data[i]!, data[i + 1]!, data[i + 2]!)
  return Math.max(...noise) / Math.max(sum / Math.max(n, 1), 1e-3)
}

/** Of 3×3 pixels, fewer at the border. */
function means(of: Float32Array, width: number, height: number): Float32Array {
  const rows = new Float32Array(of.length)
  for (let y = 0, p = 0; y < height; y++)
    for (let x = 0; x < width; x++, p++)
      rows[p] = of[p]! + (x > 0 ? of[p - 1]! : 0) + (x < width - 1 ? of[p + 1]! : 0)
  const out = new Float32Array(of.length)
  for (let y = 0, p = 0; y < height; y++) {
    const high = 1 + (y > 0 ? 1 : 0) + (y < height - 1 ? 1 : 0)
    for (let x = 0; x < width; x++, p++) {
      const wide = 1 + (x > 0 ? 1 : 0) + (x < width - 1 ? 1 : 0)
      const sum = rows[p]! + (y > 0 ? rows[p - width]! : 0) + (y < height - 1 ? rows[p + width]! : 0)
      out[p] = sum / (high * wide)
    }
  }
  return out
}
