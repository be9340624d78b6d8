/**
 * The grid of round dots of a picture, dark on light or light on dark: their middles, as far as the grid is seen.
 *
 * A dot is a connected part darker (lighter) than its surroundings that fills the ellipse of its own second moments. Its place is the
 * middle of its light. A circle's middle and the middle of its picture differ where it is seen aslant: by about r²·tan(tilt)/d of the
 * dot's radius r and distance d, a few hundredths of a pixel for small dots.
 *
 * Source: [heikkila2000] (the middle of an ellipse); the rest a choice.
 */
import { median } from '../../../../core/index.js'
import { type LightPicture, shrunk, smoothed } from '../picture.js'
import { type GridPoint, gridOf } from './grid.js'
import type { Node } from './saddles.js'

const LARGE = 1280
/** Part of the longer side over which the surroundings are meant. */
const AROUND = 1 / 16
/** Code values that a dot stands out by, at least. */
const LEAST = 8
/** px of area, and share of the picture. */
const SMALLEST = 12
const LARGEST = 0.02
/** How well it fills its ellipse, and how long that may be for its width. */
const FILLS = 0.15
const LONGEST = 4
/** Fewer dots are chance. */
const FEWEST = 12

/** Empty where there is none. */
export function dots(picture: LightPicture): GridPoint[] {
  const by = Math.max(1, Math.round(Math.max(picture.width, picture.height) / LARGE))
  const small = smoothed(shrunk(picture, by), 1)
  const local = surroundings(small)
  const both = [-1, 1].map((sign) => {
    const blobs = blobsOf(small, local, sign)
    const points = gridOf(blobs)
    const radius = Math.sqrt(median(blobs.map((b) => b.strength)) / Math.PI)
    return points.map(({ i, j, x, y }) => {
      const [u, v] = middle(picture, by * x, by * y, 1.6 * by * radius + 1, sign)
      return { i, j, x: u, y: v }
    })
  }) as [GridPoint[], GridPoint[]]
  const best = both[0].length >= both[1].length ? both[0] : both[1]
  return best.length < FEWEST ? [] : best
}

function surroundings({ width, height, values }: LightPicture): Float32Array {
  const reach = Math.max(8, Math.round(AROUND * Math.max(width, height)))
  const sums = new Float64Array((width + 1) * (height + 1))
  for (let y = 0; y < height; y++) {
    let row = 0
    for (let x = 0; x < width; x++) {
      row += values[y * width + x] as number
      sums[(y + 1) * (width + 1) + x + 1] = (sums[y * (width + 1) + x + 1] as number) + row
    }
  }
  const at = (x: number, y: number) => sums[y * (width + 1) + x] as number
  const out = new Float32Array(values.length)
  for (let y = 0; y < height; y++) {
    const [top, bottom] = [Math.max(y - reach, 0), Math.min(y + reach + 1, height)]
    for (let x = 0; x < width; x++) {
      const [left, right] = [Math.max(x - reach, 0), Math.min(x + reach + 1, width)]
      const sum = at(right, bottom) - at(left, bottom) - at(right, top) + at(left, top)
      out[y * width + x] = sum / ((bottom - top) * (right - left))
    }
  }
  return out
}

/** Strength is the area. */
function blobsOf({ width, height, values }: LightPicture, local: Float32Array, sign: number): Node[] {
  const open = new Uint8Array(values.length)
  for (let o = 0; o < open.length; o++)
    open[o] = sign * ((values[o] as number) - (local[o] as number)) > LEAST ? 1 : 0
  const found: Node[] = []
  const stack: number[] = []
  for (let o = 0; o < open.length; o++) {
    if (open[o] === 0) continue
    let [n, sx, sy, xx, xy, yy, border] = [0, 0, 0, 0, 0, 0, false]
    stack.push(o)
    open[o] = 0
    for (let at = stack.pop(); at !== undefined; at = stack.pop()) {
      const [x, y] = [at % width, Math.floor(at / width)]
      n++
      sx += x
      sy += y
      xx += x * x
      xy += x * y
      yy += y * y
      if (x === 0 || y === 0 || x === width - 1 || y === height - 1) {
        border = true
        continue
      }
      for (const next of [at - 1, at + 1, at - width, at + width]) {
        if (open[next] === 0) continue
        open[next] = 0
        stack.push(next)
      }
    }
    if (border || n < SMALLEST || n > LARGEST * values.length) continue
    const [x, y] = [sx / n, sy / n]
    // A pixel's own width is part of its moments.
    const [a, b, c] = [xx / n - x * x + 1 / 12, xy / n - x * y, yy / n - y * y + 1 / 12]
    const fills = n / (4 * Math.PI * Math.sqrt(a * c - b * b))
    const root = Math.sqrt((a - c) ** 2 / 4 + b * b)
    const long = Math.sqrt(((a + c) / 2 + root) / ((a + c) / 2 - root))
    if (Math.abs(fills - 1) < FILLS && long < LONGEST) found.push({ x: x + 0.5, y: y + 0.5, strength: n })
  }
  return found
}

/** Middle of what stands out within a radius. */
function middle(
  { width, height, values }: LightPicture,
  x0: number,
  y0: number,
  radius: number,
  sign: number,
): readonly [number, number] {
  const inside: [number, number, number][] = []
  for (let y = Math.max(Math.floor(y0 - radius), 0); y <= Math.min(y0 + radius, height - 1); y++) {
    for (let x = Math.max(Math.floor(x0 - radius), 0); x <= Math.min(x0 + radius, width - 1); x++) {
      const away = Math.sqrt((x + 0.5 - x0) ** 2 + (y + 0.5 - y0) ** 2)
      if (away <= radius) inside.push([x + 0.5, y + 0.5, sign * (values[y * width + x] as number)])
    }
  }
  const levels = inside.map(([, , v]) => v).toSorted((a, b) => a - b)
  const at = (q: number) => levels[Math.floor(q * (levels.length - 1))] as number
  const [ground, top] = [at(0.1), at(0.95)]
  let [sum, x, y] = [0, 0, 0]
  for (const [u, v, level] of inside) {
    const w = Math.min(Math.max((level - ground) / (top - ground) - 0.15, 0), 0.7)
    sum += w
    x += w * u
    y += w * v
  }
  return sum > 0 ? [x / sum, y / sum] : [x0, y0]
}
