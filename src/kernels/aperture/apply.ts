/**
 * Blur into the shape of an aperture: every pixel is spread over the shape that its place draws.
 *
 * Light goes out, it is not gathered: so bright points become the shape itself, values above 1 with all their light, and the shape
 * may differ from place to place (told on squares of CELL pixels, counted from the frame's corner).
 *
 *   D[a] += (1 − f_a) q    D[a + 1] += f_a q    D[b] −= (1 − f_b) q    D[b + 1] −= f_b q      out = prefix sum of D
 *
 *   q  the pixel's light over the number of pixels covered, a whole number of 2⁻³⁴     f  how far an end lies into its pixel
 *
 * A span of a row costs its two ends, however long it is; ends are exact, rows are sampled a quarter pixel apart. All sums are whole
 * numbers below 2⁵³ in double precision, so they are exact: the same bits whatever part of the picture is given. Outside the source is
 * 0; NaN and infinity count as 0; magnitudes above 65504 count as that. Source: prefix sums [crow1984].
 */
import { type FloatImage, grow, isEmpty, type Region } from '../../core/index.js'
import { newImage } from '../wasm/images.js'
import { type Aperture, apertureSpans, outerRadius, type Span } from './shape.js'

const SHARP = 0.3
const CELL = 32
const UNIT = 2 ** 34
const LIMIT = 65504

/** How far the blur of a radius spreads, in whole pixels. */
export function apertureReach(radius: number, a: Aperture): number {
  return radius >= SHARP ? Math.ceil(radius * outerRadius(a)) + 1 : 0
}

/**
 * The blurred picture on the source's region grown by {@link apertureReach}; the source itself below a radius of 0.3.
 *
 * @param radius px, 0 to 256; @param frame the whole picture, about whose middle the corner's cut lies
 */
export function apertureBlur(src: FloatImage, radius: number, a: Aperture, frame: Region): FloatImage {
  const by = apertureReach(radius, a)
  if (by === 0 || isEmpty(src.region)) return src
  const out = newImage(grow(src.region, by))
  const line = 4 * (out.region.width + 2)
  const sums = new Float64Array(line * out.region.height)
  const { x: left, y: top, width, height } = src.region
  const shapes = new Map<number, Shape>()
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const at = 4 * (y * width + x)
      if (src.data[at] === 0 && src.data[at + 1] === 0 && src.data[at + 2] === 0 && src.data[at + 3] === 0)
        continue
      const [cellX, cellY] =
        a.corner > 0 ? [Math.floor((left + x) / CELL), Math.floor((top + y) / CELL)] : [0, 0]
      const key = cellY * 65536 + cellX
      let shape = shapes.get(key)
      if (shape === undefined) {
        shape = shapeOf(apertureSpans(a, radius, a.corner > 0 ? toward(cellX, cellY, frame) : [0, 0]))
        shapes.set(key, shape)
      }
      spread(src.data, at, shape, sums, (y + by) * line + 4 * (x + by), line)
    }
  }
  gather(sums, out, line)
  return out
}

/** Spans as offsets into the sums, and how far each end lies into its pixel. */
interface Shape {
  readonly rows: Int32Array
  readonly ends: Int32Array
  readonly within: Float64Array
  readonly share: number
}

function shapeOf(spans: readonly Span[]): Shape {
  const ends = spans.flatMap(({ from, to }) => [Math.floor(from + 0.5), Math.floor(to + 0.5)])
  const within = spans.flatMap(({ from, to }) => [from, to]).map((v, i) => v + 0.5 - (ends[i] as number))
  const covered = spans.reduce((sum, { from, to }) => sum + to - from, 0)
  return {
    rows: Int32Array.from(spans, (s) => s.row),
    ends: Int32Array.from(ends),
    within: Float64Array.from(within),
    share: 1 / covered,
  }
}

function toward(cellX: number, cellY: number, { x, y, width, height }: Region): [number, number] {
  const half = Math.hypot(width, height) / 2
  return [(x + width / 2 - CELL * (cellX + 0.5)) / half, (y + height / 2 - CELL * (cellY + 0.5)) / half]
}

function spread(
  data: Float32Array,
  from: number,
  { rows, ends, within, share }: Shape,
  sums: Float64Array,
  middle: number,
  line: number,
): void {
  for (let c = 0; c < 4; c++) {
    const v = data[from + c]
    if (v === 0 || v - v !== 0) continue
    const q = Math.round(Math.min(Math.max(v, -LIMIT), LIMIT) * share * UNIT)
    for (let i = 0; i < rows.length; i++) {
      const at = middle + rows[i] * line + c
      const [a, b] = [at + 4 * ends[2 * i], at + 4 * ends[2 * i + 1]]
      const [qa, qb] = [Math.round(q * within[2 * i]), Math.round(q * within[2 * i + 1])]
      sums[a] += q - qa
      sums[a + 4] += qa
      sums[b] -= q - qb
      sums[b + 4] -= qb
    }
  }
}

function gather(sums: Float64Array, out: FloatImage, line: number): void {
  const { width, height } = out.region
  for (let y = 0; y < height; y++)
    for (let c = 0; c < 4; c++) {
      let sum = 0
      for (let x = 0; x < width; x++) {
        sum += sums[y * line + 4 * x + c]
        out.data[4 * (y * width + x) + c] = sum / UNIT
      }
    }
}
