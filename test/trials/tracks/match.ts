/**
 * Where a small picture lies in a larger one: normalised cross-correlation at every place of a window and at several sizes, the peak
 * to a part of a pixel by a parabola. Nothing of the program is used. Places have edges at whole numbers.
 */
import { openSource } from '../../../src/media/index.js'

export type Place = readonly [number, number]

export interface Picture {
  readonly width: number
  readonly height: number
  readonly data: Float32Array
}

/** Luma, or green, of a file's frames, in 256 steps. */
export async function pictures(path: string, first: number, count: number): Promise<Picture[]> {
  const source = await openSource(path)
  const out: Picture[] = []
  for await (const { layout, planes } of source.frames(first, count)) {
    const plane = planes[layout.family === 'yuv' ? 0 : 1]
    if (plane === undefined) throw new Error(`${path} has no such plane`)
    const step = 2 ** (layout.bits - 8)
    out.push({
      width: plane.width,
      height: plane.height,
      data: Float32Array.from(plane.data, (v) => v / step),
    })
  }
  await source.close()
  return out
}

/** The square around a place, `size` its side in the new picture, drawn `scale` times as large. */
export function square({ width, height, data }: Picture, [cx, cy]: Place, size: number, scale = 1): Picture {
  const out = new Float32Array(size * size)
  for (let j = 0; j < size; j++) {
    for (let i = 0; i < size; i++) {
      const x = Math.min(Math.max(cx + (i + 0.5 - size / 2) / scale - 0.5, 0), width - 1.001)
      const y = Math.min(Math.max(cy + (j + 0.5 - size / 2) / scale - 0.5, 0), height - 1.001)
      const [u, v] = [Math.floor(x), Math.floor(y)]
      const [a, b, k] = [x - u, y - v, v * width + u]
      out[j * size + i] =
        (1 - b) * ((1 - a) * data[k] + a * data[k + 1]) +
        b * ((1 - a) * data[k + width] + a * data[k + width + 1])
    }
  }
  return { width: size, height: size, data: out }
}

export interface Match {
  readonly at: Place
  readonly scale: number
  readonly score: number
}

/** @param look draws the template at a scale; its middle is the place @param reach whole pixels each way that are looked at */
export function find(
  look: (scale: number) => Picture,
  scales: readonly number[],
  picture: Picture,
  [x, y]: Place,
  reach: number,
): Match {
  let best: Match = { at: [x, y], scale: 1, score: -1 }
  for (const scale of scales) {
    const t = look(scale)
    const [left, top] = [Math.round(x - t.width / 2), Math.round(y - t.height / 2)]
    const side = 2 * reach + 1
    const scores = new Float32Array(side * side)
    let peak = 0
    for (let k = 0; k < scores.length; k++) {
      scores[k] = correlation(t, picture, left + (k % side) - reach, top + Math.floor(k / side) - reach)
      if (scores[k] > scores[peak]) peak = k
    }
    const [i, j] = [peak % side, Math.floor(peak / side)]
    if (scores[peak] <= best.score || i === 0 || j === 0 || i === side - 1 || j === side - 1) continue
    const at: Place = [
      left + i - reach + t.width / 2 + top3(scores[peak - 1], scores[peak], scores[peak + 1]),
      top + j - reach + t.height / 2 + top3(scores[peak - side], scores[peak], scores[peak + side]),
    ]
    best = { at, scale, score: scores[peak] }
  }
  return best
}

/** Where a parabola through three values, one apart, is largest, from the middle one. */
function top3(a: number, b: number, c: number): number {
  const bend = a - 2 * b + c
  return bend < 0 ? (a - c) / (2 * bend) : 0
}

function correlation(t: Picture, p: Picture, left: number, top: number): number {
  if (left < 0 || top < 0 || left + t.width > p.width || top + t.height > p.height) return -1
  let [a, b, aa, ab, bb] = [0, 0, 0, 0, 0]
  for (let j = 0; j < t.height; j++) {
    const row = (top + j) * p.width + left
    for (let i = 0; i < t.width; i++) {
      const [u, v] = [t.data[j * t.width + i], p.data[row + i]]
      a += u
      b += v
      aa += u * u
      ab += u * v
      bb += v * v
    }
  }
  const n = t.width * t.height
  return (ab - (a * b) / n) / Math.sqrt(Math.max((aa - (a * a) / n) * (bb - (b * b) / n), 1e-9))
}

/**
 * A place of the reference frame found in every frame, outwards from it; nothing where it is hidden or has gone.
 *
 * @param again where it lies about, seen by eye, on a frame after it was hidden
 */
export function findAll(
  frames: readonly Picture[],
  reference: number,
  place: Place,
  { size = 27, reach = 16, least = 0.85, scales = SCALES, again }: Search = {},
): (Match | undefined)[] {
  const out: (Match | undefined)[] = frames.map(() => undefined)
  const from = frames[reference]
  if (from === undefined) return out
  const look = (scale: number) => square(from, place, size, scale)
  for (const way of [1, -1]) {
    let [last, step, hidden]: [Place, Place, number] = [place, [0, 0], 0]
    for (let f = reference + (way > 0 ? 0 : -1); frames[f] !== undefined; f += way) {
      const guess: Place = again?.[0] === f ? again[1] : [last[0] + step[0], last[1] + step[1]]
      const found = find(look, scales, frames[f], guess, reach)
      if (found.score >= least) {
        if (hidden === 0 && f !== reference) step = [found.at[0] - last[0], found.at[1] - last[1]]
        ;[last, hidden] = [found.at, 0]
        out[f] = found
      } else {
        last = guess
        hidden++
      }
    }
  }
  return out
}

export interface Search {
  readonly size?: number
  readonly reach?: number
  readonly least?: number
  readonly scales?: readonly number[]
  readonly again?: readonly [frame: number, at: Place]
}

const SCALES = [0.86, 0.89, 0.92, 0.95, 0.98, 1, 1.03, 1.06, 1.09, 1.12]
