/**
 * Glare: around what shines the plate's lens draws a skirt, as it does around the plate's own lights.
 *
 *   ratio = Σ w (rendered − plate) / Σ w²      around the element's own picture, where nothing of it lies, to 3 widths away
 *
 *   w   the skirt: what the plate's glare makes of the element's light as the finished file holds it
 *
 * Speaks only of a skirt that lacks: below 0.4, where the skirt (weighted by itself) stands above 0.001 of light and 4 × its own uncertainty. More is never told,
 * for light that the file cut off spreads too. Where another element or a surface that answers the light lies nothing is looked at.
 * Limits: choices. Source: the model's.
 */
import { type FloatImage, grow, intersect, isEmpty, type Region } from '../../../core/index.js'
import { type Comparison, cannotTell, quiet, type Seen, type SeenElement, telling } from '../../compare.js'
import { withGlare } from './apply.js'
import type { Glare } from './model.js'

const LIMIT = 0.4
const LEAST_MEAN = 0.001
const SURE = 4
const WIDTHS = 3
const LEAST_PIXELS = 200
/** Neighbouring errors of a codec go together. */
const LIKE = 16

export interface SkirtLook {
  readonly frame: number
  /** Means around the element, over all channels, weighted by the skirt that should be there; linear. */
  readonly seen: number
  readonly lens: number
  /** Standard deviation of `seen`. */
  readonly spread: number
  readonly region: Region
}

/**
 * @param body where the element itself can lie, without any skirt
 * @param applied share of its light that the chain moved into a skirt
 * @param taken where something else changes the plate
 */
export function lookAtSkirt(
  seen: Seen,
  e: SeenElement,
  body: Region,
  lens: Glare,
  applied: number,
  taken: readonly Region[],
): SkirtLook | undefined {
  const frame = seen.plate.region
  const here = intersect(body, frame)
  const around = intersect(grow(here, Math.ceil(WIDTHS * lens.width)), frame)
  if (isEmpty(here)) return undefined
  const skirt = withGlare(coreOf(seen, e, here, 1 - applied), lens, around, frame)
  let [n, weight, sum, should, squares] = [0, 0, 0, 0, 0]
  for (let y = around.y; y < around.y + around.height; y++)
    for (let x = around.x; x < around.x + around.width; x++) {
      if (inside(here, x, y) || taken.some((r) => inside(r, x, y))) continue
      const i = 4 * (y * frame.width + x)
      const rise = meanOf(seen.rendered, i) - meanOf(seen.plate, i)
      const w = meanOf(skirt, 4 * ((y - around.y) * around.width + x - around.x))
      n++
      weight += w
      sum += w * rise
      should += w * w
      squares += (w * rise) ** 2
    }
  if (n < LEAST_PIXELS || weight === 0) return undefined
  // The file's own error; of a skirt that is there its fall counts too, and then none lacks.
  const left = Math.max(squares - (sum * sum) / n, 0)
  return {
    frame: seen.frame,
    seen: sum / weight,
    lens: should / weight,
    spread: Math.sqrt(left * LIKE) / weight,
    region: around,
  }
}

function meanOf({ data }: FloatImage, i: number): number {
  return ((data[i] as number) + (data[i + 1] as number) + (data[i + 2] as number)) / 3
}

/** What the element shines, before the chain's own skirt. */
function coreOf(seen: Seen, e: SeenElement, region: Region, left: number): FloatImage {
  const { width } = seen.plate.region
  const data = new Float32Array(4 * region.width * region.height)
  for (let y = 0, i = 0; y < region.height; y++)
    for (let x = 0; x < region.width; x++, i += 4) {
      const p = (region.y + y) * width + region.x + x
      if (e.light[p] === 0) continue
      for (let c = 0; c < 3; c++) {
        const plate = (seen.keep[p] as number) * (seen.plate.data[4 * p + c] as number)
        data[i + c] = Math.max((seen.rendered.data[4 * p + c] as number) - plate, 0) / left
      }
    }
  return { region, data }
}

function inside(r: Region, x: number, y: number): boolean {
  return x >= r.x && y >= r.y && x < r.x + r.width && y < r.y + r.height
}

/** @param why nothing is known of the lens's glare; undefined where it is */
export function compareSkirt(
  name: string,
  looks: readonly (SkirtLook | undefined)[],
  why: string | undefined,
): Comparison {
  if (why !== undefined) return cannotTell('no-skirt', 'lens', why)
  const clear = looks.filter(
    (l) => l !== undefined && l.lens > LEAST_MEAN && l.lens > SURE * l.spread,
  ) as SkirtLook[]
  const lacking = clear.filter((l) => l.seen < LIMIT * l.lens)
  const worst = [...lacking].sort((a, b) => a.seen / a.lens - b.seen / b.lens)[0]
  const measured = clear[0] === undefined ? {} : { skirt: [clear[0].seen / clear[0].lens] }
  if (worst === undefined || lacking.length < clear.length / 2) return quiet(measured)
  return telling(
    {
      tell: 'no-skirt',
      link: 'lens',
      frames: lacking.map((l) => l.frame),
      region: worst.region,
      unit: 'linear',
      measured: worst.seen,
      expected: worst.lens,
      limit: LIMIT * worst.lens,
      confidence: 0.5,
      sentence: `Around ${name} the plate should rise by ${(100 * worst.lens).toFixed(1)} % of white, as it does around its own lights; it rises by ${(100 * worst.seen).toFixed(1)} %.`,
      cause: "The element's light was never scattered by the plate's lens.",
      remedy:
        'Fit again, so that lens.glareShare and lens.glareWidth are known, with the lens done in full for this element.',
      contrast: 1 / Math.max(worst.seen / worst.lens, LIMIT / 4),
    },
    measured,
  )
}
