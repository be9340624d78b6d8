/**
 * Blur of a radius that differs from pixel to pixel, in depth order.
 *
 * Radii have a sign: below 0 lies nearer than what is in focus, above 0 farther; so the smaller one is the nearer. What is seen at q:
 *
 *   out = A + (1 − c_A) · (S + (1 − c_S) · F)
 *
 *   A  light of what is nearer than q, spread by its own radius over the opening's shape; c_A how much of q it covers
 *   S  the same of what is as far as q
 *   F  the same of what is farther; where that does not cover what S leaves open: the mean of what is farther around q
 *
 * So near blur covers far sharpness, far blur never comes over a near edge, and a near edge is as soft inside as outside. What counts as
 * far as q, by which share: `levels.ts`. What lies hidden behind near things is not known: the farthest things of the blocks of 8 pixels
 * around q stand for it, within its radius and 8 px, each less the farther off; as far as they are few, S and F are spread over the rest
 * (where nothing is farther, S over all: its coverage adds up to 1). Of a slope A, S and F are parts beside each other, and A hides nothing
 * of S: what A covers of the same slope is no gap in S, and S and F are as much larger as they make up for it.
 *
 * Light goes out, band by band from near to far: a row of the opening costs its ends (sums of steps, [crow1984]), so the cost grows with
 * the radius, not with its square. Sums are over whole numbers in double precision, below 2⁵³, and so exact: the same bits whatever part
 * of the picture is given. NaN and infinity count as 0; magnitudes above 65504 count as that. Source: [potmesil1981] for the disc of
 * confusion; the three layers: common practice.
 */
import { EMPTY, type FloatImage, grow, isEmpty, type Region } from '../../core/index.js'
import { CELL } from '../aperture/cells.js'
import type { Aperture } from '../aperture/shape.js'
import { at, newImage, rawImage } from '../wasm/images.js'
import { duringScratch, takeBytes, words } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'
import { radiusOf, type StepRow } from './levels.js'
import {
  type Band,
  BEYOND,
  BLOCK,
  LEVELS,
  layeredReach,
  levelIn,
  type RadiusField,
  type Scene,
  sceneOf,
  shapeOf,
} from './scene.js'

/**
 * @param frame the whole picture, about whose middle the corner's cut lies
 * @returns the source's region grown by `layeredReach`, as far as it is wanted
 */
export function layeredBlur(
  src: FloatImage,
  field: RadiusField,
  a: Aperture,
  frame: Region,
  wanted = grow(src.region, layeredReach(field.most, a)),
): FloatImage {
  const scene = sceneOf(src, field, a, wanted)
  const { region, seen } = scene
  if (isEmpty(seen)) return newImage(EMPTY)
  const out = rawImage({ ...seen, x: region.x + seen.x, y: region.y + seen.y })
  duringScratch(() => at(out.data, true, (to) => blur(scene, a, frame, to)))
  return out
}

function blur(scene: Scene, a: Aperture, frame: Region, out: number): void {
  const { region, light, levels, bands, seen } = scene
  at(light.data, false, (lit) => {
    const far = words(levels)
    const room = 64 * seen.width * seen.height
    const sums = takeBytes(room)
    simd.zero(sums, room)
    for (const band of bands) duringScratch(() => addBand(band, scene, a, frame, lit, far, sums))
    const [across, down] = [region.width / BLOCK, region.height / BLOCK]
    const blocks = takeBytes(32 * across * down)
    const farthest = simd.layeredBlocks(lit, far, region.width, region.height, blocks)
    const { first, radii } = radiiOf(bands)
    for (let y = 0; y < seen.height; y++) {
      const own = far + 4 * ((seen.y + y) * region.width + seen.x)
      simd.layeredRow(
        sums + 64 * y * seen.width,
        own,
        seen.x,
        seen.y + y,
        seen.width,
        blocks,
        across,
        down,
        farthest,
        radii,
        first,
        out + 16 * y * seen.width,
      )
    }
  })
}

function addBand(
  { band, box, reach, shapes }: Band,
  scene: Scene,
  a: Aperture,
  frame: Region,
  light: number,
  levels: number,
  sums: number,
): void {
  const { region, seen } = scene
  const own = [...shapes].map(levelIn)
  const first = Math.min(...own)
  const count = Math.max(...own) - first + 1
  const cells = a.corner === 0 ? 0 : region.width / CELL
  const table = new Int32Array(count * (cells === 0 ? 1 : (cells * region.height) / CELL))
  for (const key of shapes) {
    const i = Math.floor(key / LEVELS) * count + levelIn(key) - first
    table[i] = shapeAt(shapeOf(key, scene, a, frame))
  }
  simd.layeredBand(
    light,
    levels,
    region.width,
    box.x,
    box.y,
    box.width,
    box.height,
    band,
    reach,
    words(table),
    first,
    count,
    cells,
    seen.x,
    seen.y,
    seen.width,
    seen.height,
    sums,
    takeBytes(48 * (2 * reach + 1) * (box.width + 2 * reach + 2)),
  )
}

/** A shape as the kernel reads it. */
function shapeAt(rows: readonly StepRow[]): number {
  const bytes = 8 + rows.reduce((sum, { steps }) => sum + 8 + 16 * steps.length, 0)
  const data = new Int32Array(bytes / 4)
  const weights = new Float64Array(data.buffer)
  data[0] = rows.length
  let i = 2
  for (const { row, steps } of rows) {
    data[i] = row
    data[i + 1] = steps.length
    i += 2
    for (const { column, weight } of steps) {
      data[i] = 48 * column
      weights[i / 2 + 1] = weight
      i += 4
    }
  }
  return words(data)
}

/** How far each level looks for what it hides. */
function radiiOf(bands: readonly Band[]): { first: number; radii: number } {
  const levels = bands.flatMap(({ shapes }) => [...shapes].map(levelIn))
  const first = Math.min(...levels, 0)
  const last = Math.max(...levels, 0)
  const all = Array.from({ length: last - first + 1 }, (_, i) => Math.fround(radiusOf(first + i)) + BEYOND)
  return { first, radii: words(Float32Array.from(all)) }
}
