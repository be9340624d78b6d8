/**
 * Places found to a part of a pixel. The look of each mark is drawn as it should lie now, beside the part of the frame where it
 * should be, both brought to one mean and contrast; all of them together are two sheets, over which the library goes once there and
 * once back. A frame is thus compared with the look itself and not with the frame before: errors do not add up.
 */
import type { Shape } from '../../chain/place/motion/fit/pairs.js'
import { followBoth, type Grey, type Place, type Vision } from '../../vision/index.js'
import type { Luma } from './luma.js'
import type { Mark } from './mark.js'
import { type Cut, cut, drawn, inverse, noiseLeft, type Turn } from './patch.js'
import { eigenvalues, eigenvaluesOf, spreadOf, tensorOf } from './texture.js'
import { unexplained } from './unexplained.js'

/** A mark to be looked for: where it should lie, and how. */
export interface Try {
  readonly mark: Mark
  readonly at: Place
  readonly turn: Turn
}

export interface Sight {
  readonly at: Place
  /** How far from itself the way back ends, px. */
  readonly back: number
  /** Correlation with the look, what noise takes from it given back. */
  readonly alike: number
  /** Standard deviation along the worse direction, px. */
  readonly spread: number
  /** How what is known of the place lies, beside the worse direction. */
  readonly shape: Shape
  /** Fine detail beside that of the look: 1 the same, 0 none. */
  readonly sharp: number
}

/** Way that can be found from where a mark should lie, px each way. */
const REACH = 7
const MEAN = 128
const CONTRAST = 38
/** Tiles in a row of the sheet. */
const COLUMNS = 16

/**
 * @param alone whether no others say how far they are off beyond their noise
 * @returns for each try what was seen; nothing where the search ran out of its tile
 */
export function lookFor(
  vision: Vision,
  luma: Luma,
  tries: readonly Try[],
  noise: number,
  alone = false,
): (Sight | undefined)[] {
  const out: (Sight | undefined)[] = tries.map(() => undefined)
  for (const window of new Set(tries.map((t) => t.mark.look.window))) {
    const these = tries.flatMap((t, i) => (t.mark.look.window === window ? [i] : []))
    const tiles = these.map((i) => tileOf(luma, tries[i] as Try, window))
    const sights = onSheet(vision, tiles, window, noise, alone)
    these.forEach((i, k) => {
      out[i] = sights[k]
    })
  }
  return out
}

interface Tile {
  readonly size: number
  /** The frame's own pixels. */
  readonly own: Cut
  /** The look, drawn on the same pixels. */
  readonly look: Float32Array
  readonly at: Place
  readonly left: number
}

function tileOf(luma: Luma, { mark, at, turn }: Try, window: number): Tile {
  const size = window + 2 * REACH
  const own = cut(luma, at, size)
  const back = inverse(turn)
  const [u, v] = [own.x + size / 2 - at[0], own.y + size / 2 - at[1]]
  const middle: Place = [
    mark.look.at[0] + back[0] * u + back[1] * v,
    mark.look.at[1] + back[2] * u + back[3] * v,
  ]
  return { size, own, look: drawn(mark.look.cut, middle, back, size), at, left: noiseLeft(middle) }
}

function onSheet(vision: Vision, tiles: readonly Tile[], window: number, noise: number, alone: boolean) {
  const size = window + 2 * REACH
  const looks = sheetOf(
    tiles.map((t) => t.look),
    size,
    window,
  )
  const owns = sheetOf(
    tiles.map((t) => t.own.data),
    size,
    window,
  )
  const places = tiles.map(({ own, at }, i): Place => {
    const [x, y] = cornerOf(i, size)
    return [x + at[0] - own.x, y + at[1] - own.y]
  })
  const followed = followBoth(vision, looks, owns, places, places, { window, levels: 0 })
  return tiles.map((tile, i) => {
    const { at, back } = followed[i] as { at: Place; back: number }
    const [x, y] = places[i] as Place
    const way: Place = [at[0] - x, at[1] - y]
    if (!(Math.max(Math.abs(way[0]), Math.abs(way[1])) <= REACH - 0.5)) return undefined
    return compared(tile, way, back, window, noise, alone)
  })
}

function cornerOf(i: number, size: number): Place {
  return [(i % COLUMNS) * size, Math.floor(i / COLUMNS) * size]
}

/** Squares side by side, each with the mean and contrast of its middle brought to the same. */
function sheetOf(tiles: readonly Float32Array[], size: number, window: number): Grey {
  const width = COLUMNS * size
  const height = Math.ceil(tiles.length / COLUMNS) * size
  const data = new Uint8Array(width * height)
  for (const [i, tile] of tiles.entries()) {
    const [mean, contrast] = middleOf(tile, size, window)
    const gain = CONTRAST / Math.max(contrast, 0.25)
    const [x, y] = cornerOf(i, size)
    for (let j = 0; j < size; j++) {
      for (let k = 0; k < size; k++) {
        const v = MEAN + gain * ((tile[j * size + k] as number) - mean)
        data[(y + j) * width + x + k] = v < 0 ? 0 : v > 255 ? 255 : v + 0.5
      }
    }
  }
  return { width, height, data }
}

function middleOf(tile: Float32Array, size: number, window: number): readonly [number, number] {
  const from = (size - window) >> 1
  let [sum, square] = [0, 0]
  for (let j = from; j < from + window; j++) {
    for (let i = from; i < from + window; i++) {
      const v = tile[j * size + i] as number
      sum += v
      square += v * v
    }
  }
  const n = window * window
  return [sum / n, Math.sqrt(Math.max(0, square / n - (sum / n) ** 2))]
}

/** The least share of a square's variance that is taken for texture, whatever the noise. */
const TEXTURE = 0.2

/** What the look leaves of it, at its best gain. */
function leftOf(
  { look, size }: Tile,
  there: Float32Array,
  window: number,
  [meanLook, mean, gain]: readonly [number, number, number],
): Float32Array {
  const from = (size - window) >> 1
  return there.map((v, k) => {
    const at = (from + Math.floor(k / window)) * size + from + (k % window)
    return v - mean - gain * ((look[at] as number) - meanLook)
  })
}

/** The look beside what lies at the place that was found. */
function compared(
  tile: Tile,
  way: Place,
  back: number,
  window: number,
  noise: number,
  alone: boolean,
): Sight {
  const { size, own: cutOut, look } = tile
  const at: Place = [tile.at[0] + way[0], tile.at[1] + way[1]]
  const middle: Place = [cutOut.x + size / 2 + way[0], cutOut.y + size / 2 + way[1]]
  const there = drawn(cutOut, middle, [1, 0, 0, 1], window)
  const from = (size - window) >> 1
  let [a, b, aa, ab, bb] = [0, 0, 0, 0, 0]
  for (let j = 0; j < window; j++) {
    for (let i = 0; i < window; i++) {
      const u = look[(from + j) * size + from + i] as number
      const v = there[j * window + i] as number
      a += u
      b += v
      aa += u * u
      ab += u * v
      bb += v * v
    }
  }
  const n = window * window
  const [va, vb, vab] = [aa / n - (a / n) ** 2, bb / n - (b / n) ** 2, ab / n - (a / n) * (b / n)]
  const [leftA, leftB] = [tile.left, noiseLeft(middle)]
  const texture = (v: number, left: number) => Math.max(TEXTURE * v, v - left * noise * noise)
  const alike = va > 0 && vb > 0 ? Math.min(1, vab / Math.sqrt(texture(va, leftA) * texture(vb, leftB))) : 0
  // What the look at its best gain leaves unexplained is noise of both, and what has changed.
  const rest = Math.max(0, vb - (va > 0 ? (vab * vab) / va : 0))
  const sigma = Math.max(Math.sqrt(rest / (leftA + leftB)), 0.1)
  const tensor = tensorOf(there, window, window, noise * Math.sqrt(leftB))
  const energy = eigenvaluesOf(tensor)
  const before = eigenvalues(look, size, window, noise * Math.sqrt(leftA))
  const gain = vb / Math.max(va, 1e-9)
  const sharp = (energy[0] + energy[1]) / Math.max(gain * (before[0] + before[1]), 1e-9)
  const shape = tensor.map((v) => v / energy[1]) as unknown as Shape
  const own = spreadOf(sigma, energy[1])
  const spread = alone
    ? Math.max(own, unexplained(there, leftOf(tile, there, window, [a / n, b / n, vab / va]), window))
    : own
  return { at, back, alike, spread, shape, sharp }
}
