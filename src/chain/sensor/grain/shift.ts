/**
 * Whole pixels by which blocks of a picture went to the next one: least squared difference, from a picture shrunk three times by
 * two down to its own size.
 *
 * Another place is believed only where its difference is far below that of the place expected: where noise alone decides, the best
 * of many would look quieter than it is; so too for having moved at all.
 *
 * Source: block matching, common practice.
 */
import type { FloatImage } from '../../../core/index.js'

const HALVINGS = 3
const FIRST = 4
const THEN = 2
/** Half the side of the window on a shrunk picture, px of that picture. */
const AROUND = 5
/** Share of the expected place's difference below which another place is believed: on shrunk pictures, and at last. */
const [LIKELY, BETTER] = [0.95, 0.3]

interface Grey {
  readonly width: number
  readonly height: number
  readonly data: Float32Array
}

/** Of one picture to another; blocks of `size` px by their upper left corner, counted from the picture's. */
export function shiftsBetween(
  from: FloatImage,
  to: FloatImage,
  size: number,
): (x: number, y: number) => [number, number] {
  const a = pyramid(from)
  const b = pyramid(to)
  return (x, y) => {
    let [dx, dy] = [0, 0]
    for (let l = HALVINGS; l >= 0; l--) {
      const half = l === 0 ? size / 2 : AROUND
      const at = [(x + size / 2) / 2 ** l, (y + size / 2) / 2 ** l] as const
      const reach = l === HALVINGS ? FIRST : THEN
      ;[dx, dy] = best(
        a[l] as Grey,
        b[l] as Grey,
        ...at,
        half,
        [2 * dx, 2 * dy],
        reach,
        l === 0 ? BETTER : LIKELY,
      )
    }
    const [first, second] = [a[0] as Grey, b[0] as Grey]
    const from = (u: number, v: number) => difference(first, second, x, y, x + size, y + size, u, v)
    return from(dx, dy) < BETTER * from(0, 0) ? [dx, dy] : [0, 0]
  }
}

function best(
  a: Grey,
  b: Grey,
  x: number,
  y: number,
  half: number,
  [dx, dy]: readonly [number, number],
  reach: number,
  share: number,
): [number, number] {
  const [left, top] = [Math.max(0, Math.floor(x - half)), Math.max(0, Math.floor(y - half))]
  const [right, bottom] = [Math.min(a.width, Math.floor(x + half)), Math.min(a.height, Math.floor(y + half))]
  const start = difference(a, b, left, top, right, bottom, dx, dy)
  let least = share * start
  let found: [number, number] = [dx, dy]
  for (let v = dy - reach; v <= dy + reach; v++) {
    for (let u = dx - reach; u <= dx + reach; u++) {
      const d = difference(a, b, left, top, right, bottom, u, v, least)
      if (d < least) {
        least = d
        found = [u, v]
      }
    }
  }
  return found
}

/** Sum of squares; infinite where the window leaves the picture. @param enough it stops there: what is no less is not asked for */
function difference(
  a: Grey,
  b: Grey,
  left: number,
  top: number,
  right: number,
  bottom: number,
  dx: number,
  dy: number,
  enough = Number.POSITIVE_INFINITY,
) {
  if (left + dx < 0 || top + dy < 0 || right + dx > b.width || bottom + dy > b.height)
    return Number.POSITIVE_INFINITY
  let sum = 0
  for (let y = top; y < bottom; y++) {
    let i = y * a.width + left
    let k = (y + dy) * b.width + left + dx
    for (let x = left; x < right; x++, i++, k++) {
      const d = (a.data[i] as number) - (b.data[k] as number)
      sum += d * d
    }
    if (sum >= enough) return sum
  }
  return sum
}

/** Roots of the light, so that dark places count too, and halves of that. */
function pyramid({ region, data }: FloatImage): Grey[] {
  const { width, height } = region
  const own = new Float32Array(width * height)
  for (let p = 0; p < own.length; p++)
    own[p] = Math.sqrt(
      Math.max(0, (data[4 * p] as number) + 2 * (data[4 * p + 1] as number) + (data[4 * p + 2] as number)),
    )
  const out: Grey[] = [{ width, height, data: own }]
  for (let l = 0; l < HALVINGS; l++) out.push(halved(out[l] as Grey))
  return out
}

function halved({ width, height, data }: Grey): Grey {
  const [w, h] = [Math.max(1, width >> 1), Math.max(1, height >> 1)]
  const out = new Float32Array(w * h)
  for (let y = 0; y < h; y++) {
    for (let x = 0; x < w; x++) {
      const i = Math.min(2 * y, height - 1) * width + Math.min(2 * x, width - 1)
      const right = 2 * x + 1 < width ? 1 : 0
      const down = 2 * y + 1 < height ? width : 0
      out[y * w + x] =
        ((data[i] as number) +
          (data[i + right] as number) +
          (data[i + down] as number) +
          (data[i + right + down] as number)) /
        4
    }
  }
  return { width: w, height: h, data: out }
}
