/**
 * Black hairs before a screen have its hue, like shadows on it; but shadows are soft, and hairs are thin and hang on the element.
 *
 *   dark     g < G₆ − 3 σ      G₆ the mean of g under a gaussian of 6 px · u, first of all that has the screen's hue, then without
 *                              what was dark
 *   a hair   what is dark, within 3 px · u of what is darker than G₂ by as much, G₂ the same of 2 px · u; and joined by such places, over
 *            at most 3 px · u, to what does not have the screen's hue
 *
 *   g  share of √light of the screen    σ  of g on the screen
 *
 * Limits are choices.
 */
import { gaussianBlur } from '../../../kernels/index.js'
import { grown } from './masks.js'
import { reached } from './reached.js'

const WIDTH = 6
const FINE = 2
const NOISES = 3
const TURNS = 3
const NEAR = 3

interface Size {
  readonly width: number
  readonly height: number
}

/** Takes black hairs out of what is like the screen, in place. @param sigma of g on the screen */
export function withoutThin(
  like: Uint8Array,
  gain: Float32Array,
  size: Size,
  unit: number,
  sigma: number,
): void {
  const limit = NOISES * sigma
  const near = Math.round(NEAR * unit)
  const fine = grown(darker(like, like, gain, size, FINE * unit, limit), size, near)
  let dark: Uint8Array = new Uint8Array(like.length)
  for (let turn = 0; turn < TURNS; turn++) {
    const bright = like.map((v, p) => v & (1 - (dark[p] as number)))
    dark = darker(like, bright, gain, size, WIDTH * unit, limit)
  }
  const hair = dark.map((v, p) => v & (fine[p] as number))
  const others = like.map((v) => 1 - v)
  const barred = grown(hair, size, near).map((v) => 1 - v)
  const joined = reached(grown(others, size, near), barred, size, like.length)
  for (let p = 0; p < like.length; p++) if (hair[p] === 1 && joined[p] === 1) like[p] = 0
}

/** What of `like` is darker than the mean about it of what is of `bright`. */
function darker(
  like: Uint8Array,
  bright: Uint8Array,
  gain: Float32Array,
  size: Size,
  width: number,
  limit: number,
): Uint8Array {
  const weighted = { region: { x: 0, y: 0, ...size }, data: new Float32Array(4 * like.length) }
  for (let p = 0; p < like.length; p++) {
    if (bright[p] === 0) continue
    weighted.data[4 * p] = gain[p] as number
    weighted.data[4 * p + 3] = 1
  }
  const { data } = gaussianBlur(weighted, width, weighted.region)
  return like.map((v, p) => {
    const all = data[4 * p + 3] as number
    return v === 1 && all > 1e-3 && (gain[p] as number) < (data[4 * p] as number) / all - limit ? 1 : 0
  })
}
