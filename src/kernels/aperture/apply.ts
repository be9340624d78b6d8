/**
 * Blur into the shape of an aperture: every pixel is spread over the shape that its place draws (`stencil.ts` for the weights).
 *
 * Light goes out, it is not gathered: so bright points become the shape itself, values above 1 with all their light, and the shape
 * may differ from place to place (`cells.ts`). Cost grows with the radius, not with its square: the run of wholly covered pixels of a row
 * is a difference of two prefix sums. These run over whole numbers as `disc/apply.ts` says, and so are exact: the same bits whatever part of
 * the picture is given. Outside the source is 0; NaN and infinity count as 0; magnitudes above 65504 count as that.
 *
 * Source: [potmesil1981]; prefix sums [crow1984].
 */
import { type FloatImage, grow, isEmpty, type Region } from '../../core/index.js'
import { at, newImage } from '../wasm/images.js'
import { duringScratch, takeBytes, words } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'
import { cellsOf } from './cells.js'
import { type Aperture, outerRadius } from './shape.js'
import { type Stencil, stencilOf } from './stencil.js'

const SHARP = 0.3

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
  const { x, y, width } = src.region
  at(src.data, false, (from) => {
    at(out.data, true, (to) => {
      for (const { region, toward } of cellsOf(src.region, a, frame)) {
        const [left, top] = [region.x - x, region.y - y]
        const first = from + 16 * (top * width + left)
        const into = to + 16 * ((top + by) * out.region.width + left + by)
        duringScratch(() =>
          spread(first, width, region, into, out.region.width, stencilOf(a, radius, toward)),
        )
      }
    })
  })
  return out
}

function spread(
  src: number,
  wide: number,
  { width, height }: Region,
  out: number,
  outWide: number,
  { rows, reach, weight }: Stencil,
): void {
  const room = takeBytes(16 * 3 * (width + 4 * reach + 6))
  const table = words(
    Int32Array.from(
      rows.flatMap(({ row, from, to, edges }) => {
        const pairs = Math.max(Math.ceil(edges.length / 2), to > from ? 1 : 0)
        return [row, from, to, pairs, pairsAt(edges, pairs)]
      }),
    ),
  )
  simd.apertureRows(src, 16 * wide, width, height, out, 16 * outWide, table, rows.length, reach, weight, room)
}

/** Bytes to the left and weight of each edge, two by two; the last may have no fellow. */
function pairsAt(edges: readonly (readonly [number, number])[], pairs: number): number {
  const data = new Int32Array(4 * pairs)
  const weights = new Float32Array(data.buffer)
  edges.forEach(([column, weight], i) => {
    data[2 * i] = -16 * column
    weights[2 * i + 1] = weight
  })
  return words(data)
}
