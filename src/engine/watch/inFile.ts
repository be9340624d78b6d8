/**
 * Where an element lies in the finished file, beside where its document puts it: its own picture, drawn where the document says,
 * is held against what the file shows beyond the plate.
 *
 *   F − P = g L + o α − h α P      g, o, h  by least squares: what treatments make of its light, and how much it covers
 *
 *   F, P  finished picture and plate, linear light     L, α  the element's light (times α) and coverage, drawn
 *
 * Its corners are then followed from the right side to the left one. Drawn anew where they are found, until nothing is left: what
 * lies about its edges is weighed rightly only there. As every frame has the element's own picture of that frame, a thing that
 * changes is followed too, as long as the file shows it as it is drawn: where less of what the file adds is told by it than
 * `TOLD`, or too few corners are found again (what is soft, lit anew or hidden), nothing is said of that frame.
 */
import type { InFile, Way2 } from '../../chain/place/slide/model.js'
import { invert3, type Matrix3 } from '../../colour/index.js'
import { median, type Region, robustSigma } from '../../core/index.js'
import { corners, followBoth, type Grey, type Place, type Vision } from '../../vision/index.js'

/** Sides of what is looked at, px, at most: more tells no more. */
const SIDE = 160
const CORNERS = { most: 40, distance: 6, quality: 0.03 }
const LOOK = { window: 15, levels: 3 }
/** The way there and back closes, px. */
const CLOSES = 0.3
const LEAST = 8
/** Share of what the file shows beyond the plate that the drawn element tells. */
const TOLD = 0.6
const ROUNDS = 4
/** What is left then is not worth another round, px. */
const THERE = 0.1
/** Share of its corners that are found again. */
const FOUND = 0.5
/** Of 255: nothing, and what the brightest place of the drawn element has above it, bent as a camera would. */
const BLACK = 16
const WHITE = 200
/** Share by which squares are raised, so that what does not vary by itself can be solved for. */
const STIFF = 1e-6
/** Spread of a median beside that of a mean, of normal data: √(π/2). Common practice. */
const MEDIAN = 1.2533

/** What is there of an element at a place of the plate: its light times what covers, and what covers. */
export type Draw = (x: number, y: number, out: { light: number; alpha: number }) => void

/** What is looked at of one frame. */
export interface FileLook {
  readonly plate: Light
  readonly rendered: Light
  /** The most that the finished file can hold; infinite for light. */
  readonly white: number
  /** Where the document puts the element. */
  readonly region: Region
  /** Where it may lie beside that, px: as on the frame before. */
  readonly start: Way2
}

/** Light at a pixel of the plate, row by row. */
export type Light = (pixel: number) => number

/** Undefined where it is not to be made out. @param stride pixels in a row of the plate */
export function offInFile(vision: Vision, draw: Draw, stride: number, look: FileLook): InFile | undefined {
  const box = middleOf(look.region)
  if (Math.min(box.width, box.height) < LOOK.window) return undefined
  let off = look.start
  for (let round = 0; round < ROUNDS; round++) {
    const pair = pairOf(draw, off, stride, look, box)
    const moved = pair && movedBy(vision, pair.drawn, pair.seen)
    if (pair === undefined || moved === undefined) return undefined
    off = [off[0] + moved.off[0], off[1] + moved.off[1]]
    if (Math.max(...moved.off.map(Math.abs)) > THERE) continue
    return pair.told > TOLD && moved.share > FOUND ? { off, spread: moved.spread } : undefined
  }
  return undefined
}

function middleOf({ x, y, width, height }: Region): Region {
  const [w, h] = [Math.min(width, SIDE), Math.min(height, SIDE)]
  return { x: Math.round(x + (width - w) / 2), y: Math.round(y + (height - h) / 2), width: w, height: h }
}

interface Pair {
  readonly drawn: Grey
  readonly seen: Grey
  /** Share of what the file shows beyond the plate that the drawn element tells. */
  readonly told: number
}

/** The element alone, as it is drawn and as the file shows it; nothing where the two are not the same thing. */
function pairOf(draw: Draw, off: Way2, stride: number, look: FileLook, r: Region): Pair | undefined {
  const own = samplesOf(draw, off, stride, look, r)
  const [g, o, h] = fitted(own)
  if (!(g > 0)) return undefined
  const { light, alpha, plate, added } = own
  const drawn = light.map((l, i) => {
    const [a, p] = [alpha[i] as number, plate[i] as number]
    // What is brighter than white is white in the file.
    return Math.min(g * l + o * a, Math.max(0, look.white - (1 - h * a) * p))
  })
  const seen = added.map((v, i) => v + h * (alpha[i] as number) * (plate[i] as number))
  const most = drawn.reduce((a, v) => Math.max(a, v), 0)
  const grey = (values: Float32Array): Grey => ({
    width: r.width,
    height: r.height,
    data: Uint8Array.from(
      values,
      (v) => BLACK + Math.min(WHITE * Math.sqrt(Math.max(v, 0) / most), 255 - BLACK),
    ),
  })
  const left = seen.reduce((sum, v, i) => sum + (v - (drawn[i] as number)) ** 2, 0)
  const all = added.reduce((sum, v) => sum + v * v, 0)
  return { drawn: grey(drawn), seen: grey(seen), told: 1 - left / all }
}

interface Samples {
  readonly light: Float32Array
  readonly alpha: Float32Array
  readonly plate: Float32Array
  /** What the file has beyond the plate. */
  readonly added: Float32Array
}

function samplesOf(draw: Draw, [dx, dy]: Way2, stride: number, look: FileLook, r: Region): Samples {
  const floats = () => new Float32Array(r.width * r.height)
  const [light, alpha, plate, added] = [floats(), floats(), floats(), floats()]
  const one = { light: 0, alpha: 0 }
  for (let y = 0, i = 0; y < r.height; y++) {
    for (let x = 0; x < r.width; x++, i++) {
      const p = (y + r.y) * stride + x + r.x
      draw(x + r.x + 0.5 - dx, y + r.y + 0.5 - dy, one)
      light[i] = one.light
      alpha[i] = one.alpha
      plate[i] = look.plate(p)
      added[i] = look.rendered(p) - (plate[i] as number)
    }
  }
  return { light, alpha, plate, added }
}

/** g, o and h, from what is not clipped. */
function fitted({ light, alpha, plate, added }: Samples): readonly [number, number, number] {
  const m = new Float64Array(9)
  const b = [0, 0, 0]
  for (let i = 0; i < light.length; i++) {
    const [a, p] = [alpha[i] as number, plate[i] as number]
    const row = [light[i] as number, a, -a * p] as const
    for (let j = 0; j < 3; j++) {
      b[j] = (b[j] as number) + (row[j] as number) * (added[i] as number)
      for (let k = 0; k < 3; k++)
        m[3 * j + k] = (m[3 * j + k] as number) + (row[j] as number) * (row[k] as number)
    }
  }
  // What does not vary by itself is left at nothing.
  for (let j = 0; j < 3; j++) m[4 * j] = (m[4 * j] as number) * (1 + STIFF) + STIFF
  const v = invert3([...m] as unknown as Matrix3)
  return [0, 1, 2].map((j) =>
    [0, 1, 2].reduce((sum, k) => sum + (v[3 * j + k] as number) * (b[k] as number), 0),
  ) as unknown as readonly [number, number, number]
}

function movedBy(vision: Vision, drawn: Grey, seen: Grey): (InFile & { share: number }) | undefined {
  const from = corners(vision, drawn, CORNERS)
  const ways = followBoth(vision, drawn, seen, from, from, LOOK).flatMap(({ at, back }, i): Place[] => {
    const [x, y] = from[i] as Place
    return back <= CLOSES ? [[at[0] - x, at[1] - y]] : []
  })
  if (ways.length < LEAST) return undefined
  const off: Way2 = [median(ways.map((w) => w[0])), median(ways.map((w) => w[1]))]
  const apart = ([0, 1] as const).map((k) => robustSigma(ways.map((w) => w[k])))
  const spread = (MEDIAN * Math.max(...apart)) / Math.sqrt(ways.length)
  return { off, spread, share: ways.length / from.length }
}
