/**
 * A chart's patches in a picture, by the centres of its four corner patches: a projective map (Heckbert's square to
 * quadrilateral), so that a chart may be held at a slant.
 *
 *   (x, y) = ((a·u + b·v + c) / w, (d·u + e·v + f) / w),   w = g·u + h·v + 1,   u, v from 0 to 1 between the centres
 *
 * Source: [heckbert1989].
 */
import { invert3, type Matrix3, transform3 } from '../../../colour/matrix3.js'
import type { FloatImage, Region, Rgb } from '../../../core/index.js'

export type Point = readonly [number, number]
export type Quad = readonly [Point, Point, Point, Point]

const COLUMNS = 6
const ROWS = 4
/** Half of a patch's middle that is looked at, in distances between centres: patches fill some 0.85 of it. */
const HALF = 0.22
const FEWEST_PIXELS = 9

/** Mean code of one patch, and how far the halves of its middle lie apart. */
export interface Patch {
  readonly mean: Rgb
  readonly apart: number
}

/** The eight ways in which a chart can lie in a picture: turned by quarters, and mirrored. */
export const lies: readonly { readonly words: string; readonly order: readonly number[] }[] = [
  { words: 'upright', order: [0, 1, 2, 3] },
  { words: 'upside down', order: [2, 3, 0, 1] },
  { words: 'turned a quarter', order: [1, 2, 3, 0] },
  { words: 'turned a quarter', order: [3, 0, 1, 2] },
  { words: 'mirrored', order: [1, 0, 3, 2] },
  { words: 'mirrored upside down', order: [3, 2, 1, 0] },
  { words: 'mirrored and turned a quarter', order: [0, 3, 2, 1] },
  { words: 'mirrored and turned a quarter', order: [2, 1, 0, 3] },
]

/**
 * Codes of the 24 patches, row by row.
 *
 * @param corners centres of the first patch, the last of its row, the last of all, the first of the last row, in pixels
 * @returns a word where a patch is too small or not wholly in the picture
 */
export function readPatches(image: FloatImage, corners: Quad): readonly Patch[] | 'outside' | 'small' {
  const toPicture = squareTo(corners)
  const toChart = invert3(toPicture)
  const patches: Patch[] = []
  for (let i = 0; i < COLUMNS * ROWS; i++) {
    const [column, row] = [i % COLUMNS, Math.floor(i / COLUMNS)]
    const at = (dx: number, dy: number) =>
      project(toPicture, (column + dx) / (COLUMNS - 1), (row + dy) / (ROWS - 1))
    const box = around([at(-HALF, -HALF), at(HALF, -HALF), at(HALF, HALF), at(-HALF, HALF)])
    if (!holds(image.region, box)) return 'outside'
    const patch = readOne(image, box, toChart, column, row)
    if (patch === undefined) return 'small'
    patches.push(patch)
  }
  return patches
}

/** Smallest region around points. */
export function around(points: readonly Point[]): Region {
  const [xs, ys] = [points.map((p) => p[0]), points.map((p) => p[1])]
  const [x, y] = [Math.floor(Math.min(...xs)), Math.floor(Math.min(...ys))]
  return { x, y, width: Math.ceil(Math.max(...xs)) - x + 1, height: Math.ceil(Math.max(...ys)) - y + 1 }
}

function readOne(
  image: FloatImage,
  box: Region,
  toChart: Matrix3,
  column: number,
  row: number,
): Patch | undefined {
  const halves = [sum(), sum(), sum(), sum()] as const
  for (let y = box.y; y < box.y + box.height; y++) {
    for (let x = box.x; x < box.x + box.width; x++) {
      const [u, v] = project(toChart, x + 0.5, y + 0.5)
      const [dx, dy] = [u * (COLUMNS - 1) - column, v * (ROWS - 1) - row]
      if (Math.abs(dx) > HALF || Math.abs(dy) > HALF) continue
      const i = 4 * ((y - image.region.y) * image.region.width + x - image.region.x)
      for (const half of [halves[dx < 0 ? 0 : 1], halves[dy < 0 ? 2 : 3]]) {
        half.count++
        for (const c of [0, 1, 2] as const) half.total[c] += image.data[i + c] as number
      }
    }
  }
  const [left, right] = halves
  const count = left.count + right.count
  if (count < FEWEST_PIXELS || halves.some((h) => h.count === 0)) return undefined
  const mean = (c: 0 | 1 | 2) => (left.total[c] + right.total[c]) / count
  return {
    mean: [mean(0), mean(1), mean(2)],
    apart: Math.max(gap(halves[0], halves[1]), gap(halves[2], halves[3])),
  }
}

interface Sum {
  count: number
  readonly total: [number, number, number]
}

function sum(): Sum {
  return { count: 0, total: [0, 0, 0] }
}

function gap(a: Sum, b: Sum): number {
  return Math.max(...([0, 1, 2] as const).map((c) => Math.abs(a.total[c] / a.count - b.total[c] / b.count)))
}

function squareTo([[x0, y0], [x1, y1], [x2, y2], [x3, y3]]: Quad): Matrix3 {
  const [dx1, dx2, sx] = [x1 - x2, x3 - x2, x0 - x1 + x2 - x3]
  const [dy1, dy2, sy] = [y1 - y2, y3 - y2, y0 - y1 + y2 - y3]
  const d = dx1 * dy2 - dx2 * dy1
  const g = (sx * dy2 - dx2 * sy) / d
  const h = (dx1 * sy - sx * dy1) / d
  return [x1 - x0 + g * x1, x3 - x0 + h * x3, x0, y1 - y0 + g * y1, y3 - y0 + h * y3, y0, g, h, 1]
}

function project(m: Matrix3, u: number, v: number): Point {
  const [x, y, w] = transform3(m, [u, v, 1])
  return [x / w, y / w]
}

function holds(frame: Region, box: Region): boolean {
  return (
    box.x >= frame.x &&
    box.y >= frame.y &&
    box.x + box.width <= frame.x + frame.width &&
    box.y + box.height <= frame.y + frame.height
  )
}
