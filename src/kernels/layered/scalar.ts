/** The blur in depth order in plain TypeScript: what `simd.ts` must equal to the bit. */
import { emptyImage, type FloatImage, grow, type Region } from '../../core/index.js'
import type { Aperture } from '../aperture/shape.js'
import {
  ABSENT,
  ALIKE,
  ALIKE_LEVELS,
  BAND,
  bandOf,
  otherDepth,
  radiusOf,
  type StepRow,
  sameSlope,
  UNIT,
} from './levels.js'
import {
  type Band,
  BEYOND,
  BLOCK,
  layeredReach,
  type RadiusField,
  type Scene,
  sceneOf,
  shapeKey,
  shapeOf,
} from './scene.js'

const { fround } = Math
const LIMIT = 65504
/** Adding and taking away 1.5·2⁵² rounds a double to a whole number, halves to even. */
const ROUND = 1.5 * 2 ** 52
/** Less than this of a pixel that nothing covers shows nothing. */
const NOTHING = fround(2 ** -10)
/** Pixels that lie farther, as a share of the square of how far they are looked for: enough to stand for what is hidden. A choice. */
const ENOUGH = 0.125
/** Red, green, blue, alpha, and how much is covered. */
const PARTS = 5
/** Of what is nearer, as far and farther; then how much the nearer things of the same slope cover. */
const SUMS = 3 * PARTS + 1

/** See `apply.ts`. */
export function layeredBlur(
  src: FloatImage,
  field: RadiusField,
  a: Aperture,
  frame: Region,
  wanted = grow(src.region, layeredReach(field.most, a)),
): FloatImage {
  const scene = sceneOf(src, field, a, wanted)
  const { region, seen, levels } = scene
  const out = emptyImage({ ...seen, x: seen.x + region.x, y: seen.y + region.y })
  const sums = new Float32Array(SUMS * seen.width * seen.height)
  for (const band of scene.bands) addBand(band, scene, a, frame, sums)
  const blocks = blocksOf(scene)
  for (let y = 0, i = 0; y < seen.height; y++)
    for (let x = 0; x < seen.width; x++, i++) {
      const level = levels[(seen.y + y) * region.width + seen.x + x]
      if (level === ABSENT) continue
      const own = sums.subarray(SUMS * i, SUMS * (i + 1))
      out.data.set(
        layered(own, level, () => behind(blocks, scene, seen.x + x, seen.y + y, level)),
        4 * i,
      )
    }
  return out
}

/** What a band gives each pixel: to what is nearer than it (0 to 4 of its sums), as far (5 to 9) or farther (10 to 14); 15 is of its slope. */
function addBand(
  { band, box, shapes }: Band,
  scene: Scene,
  a: Aperture,
  frame: Region,
  sums: Float32Array,
): void {
  const { region, light, levels, seen } = scene
  const rows = new Map([...shapes].map((key) => [key, shapeOf(key, scene, a, frame)]))
  const steps = new Float64Array(PARTS * (region.width + 1) * region.height)
  for (let y = box.y; y < box.y + box.height; y++)
    for (let x = box.x; x < box.x + box.width; x++) {
      const p = y * region.width + x
      if (levels[p] === ABSENT || bandOf(levels[p]) !== band) continue
      const shape = rows.get(shapeKey(x, y, levels[p], region.width, a)) as StepRow[]
      for (let c = 0; c < 4; c++) spread(held(light.data[4 * p + c]), shape, steps, x, y, c, region)
      spread(1, shape, steps, x, y, 4, region)
    }
  for (let y = seen.y; y < seen.y + seen.height; y++)
    for (let c = 0; c < PARTS; c++) {
      let sum = 0
      for (let x = 0; x < seen.x + seen.width; x++) {
        sum += steps[PARTS * (y * (region.width + 1) + x) + c]
        const level = levels[y * region.width + x]
        if (x < seen.x || level === ABSENT) continue
        const apart = BAND * band - level
        const other = otherDepth(apart)
        const own = SUMS * ((y - seen.y) * seen.width + x - seen.x)
        const given = fround(sum / UNIT)
        const side = fround(other * given)
        if (other < 1) sums[own + PARTS + c] += fround((1 - other) * given)
        if (other > 0) sums[own + (apart < 0 ? 0 : 2 * PARTS) + c] += side
        if (other > 0 && apart < 0 && c === 4) sums[own + 3 * PARTS] += fround(sameSlope(apart) * side)
      }
    }
}

function held(v: number): number {
  return v - v === 0 ? Math.min(Math.max(v, -LIMIT), LIMIT) : 0
}

/** The last step of a row takes back what the others gave, so that nothing runs on. */
function spread(
  v: number,
  shape: readonly StepRow[],
  to: Float64Array,
  x: number,
  y: number,
  c: number,
  { width, height }: Region,
): void {
  for (const { row, steps } of shape) {
    if (y + row < 0 || y + row >= height) continue
    const at = (column: number) =>
      PARTS * ((y + row) * (width + 1) + Math.min(Math.max(x + column, 0), width)) + c
    let given = 0
    steps.forEach(({ column, weight }, i) => {
      const part = i === steps.length - 1 ? -given : v * weight + ROUND - ROUND
      given += part
      to[at(column)] += part
    })
  }
}

/** What is farthest in each block: its band, and the sum of its light, and of its pixels. */
interface Blocks {
  readonly across: number
  readonly band: Int32Array
  readonly sums: Float32Array
  readonly farthest: number
}

function blocksOf({ region, light, levels }: Scene): Blocks {
  const across = region.width / BLOCK
  const down = region.height / BLOCK
  const band = new Int32Array(across * down).fill(ABSENT)
  const sums = new Float32Array(PARTS * band.length)
  const pixels = (b: number) =>
    Array.from({ length: BLOCK * BLOCK }, (_, i) => {
      const [x, y] = [
        BLOCK * (b % across) + (i % BLOCK),
        BLOCK * Math.floor(b / across) + Math.floor(i / BLOCK),
      ]
      return y * region.width + x
    }).filter((p) => levels[p] !== ABSENT)
  for (let b = 0; b < band.length; b++) {
    const own = pixels(b)
    for (const p of own) band[b] = Math.max(band[b], bandOf(levels[p]))
    for (const p of own.filter((q) => band[b] - bandOf(levels[q]) <= ALIKE)) {
      for (let c = 0; c < 4; c++) sums[PARTS * b + c] += held(light.data[4 * p + c])
      sums[PARTS * b + 4] += 1
    }
  }
  return { across, band, sums, farthest: band.reduce((m, v) => Math.max(m, v), ABSENT) }
}

/** How far away what is hidden is looked for. */
function lookedFor(level: number): number {
  return fround(fround(radiusOf(level)) + BEYOND)
}

function enoughFor(level: number): number {
  const far = lookedFor(level)
  return fround(fround(ENOUGH * far) * far)
}

/** Sums of the blocks that are farther than a pixel, around it, each less the farther off. */
function behind(
  { across, band, sums, farthest }: Blocks,
  { region }: Scene,
  x: number,
  y: number,
  level: number,
) {
  const out = new Float32Array(PARTS)
  if (BAND * farthest - level <= ALIKE_LEVELS) return out
  const far = lookedFor(level)
  const reach = Math.ceil(far)
  const [x0, y0] = [
    Math.max(Math.floor((x - reach) / BLOCK), 0),
    Math.max(Math.floor((y - reach) / BLOCK), 0),
  ]
  const [x1, y1] = [
    Math.min(Math.floor((x + reach) / BLOCK), across - 1),
    Math.min(Math.floor((y + reach) / BLOCK), region.height / BLOCK - 1),
  ]
  for (let j = y0; j <= y1; j++)
    for (let i = x0; i <= x1; i++) {
      const b = j * across + i
      if (BAND * band[b] - level <= ALIKE_LEVELS) continue
      const [dx, dy] = [BLOCK * i + (BLOCK - 1) / 2 - x, BLOCK * j + (BLOCK - 1) / 2 - y]
      const w = fround(1 - fround(fround(Math.sqrt(fround(dx * dx + dy * dy))) / far))
      if (w <= 0) continue
      const part = fround(w * otherDepth(BAND * band[b] - level))
      for (let c = 0; c < PARTS; c++) out[c] += fround(part * sums[PARTS * b + c])
    }
  return out
}

/** Near over own over far. */
function layered(sums: Float32Array, level: number, find: () => Float32Array): Float32Array {
  const [near, own, far, slope] = [sums[4], sums[9], sums[14], sums[15]]
  const beside = fround(1 / Math.max(fround(1 - slope), NOTHING))
  const open = fround(1 - fround(beside * own))
  let [ownPart, farPart, hiddenPart] = [own > 0 ? fround(1 / own) : 0, 0, 0]
  let hidden: Float32Array | undefined
  if (open > NOTHING) {
    const lacking = fround(open - fround(beside * far))
    ownPart = beside
    if (lacking > NOTHING) {
      hidden = find()
      const known = fround(lacking * Math.min(fround(hidden[4] / enoughFor(level)), 1))
      const all = fround(own + far)
      if (all > 0) ownPart = fround(beside + fround(fround(lacking - known) / all))
      farPart = ownPart
      hiddenPart = known > 0 ? fround(known / hidden[4]) : 0
    } else farPart = far > 0 ? fround(open / far) : 0
  }
  const nearPart = fround(1 / Math.max(near, 1))
  const left = fround(1 - Math.min(near, 1))
  const out = new Float32Array(4)
  for (let c = 0; c < 4; c++) {
    const seen = fround(fround(ownPart * sums[5 + c]) + fround(farPart * sums[10 + c]))
    const under = fround(seen + fround(hiddenPart * (hidden?.[c] ?? 0)))
    out[c] = fround(fround(nearPart * sums[c]) + fround(left * under))
  }
  return out
}
