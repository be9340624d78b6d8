/**
 * Light of the place, read off a grey card that faces the camera.
 *
 *   ambient = card / ρ      card  middle of the card's 4×4 means, per channel, linear      ρ  its reflectance
 *
 * For a matt card; near the lens, so that no air lies before it. Source: common practice; 18 % is the photographic middle grey.
 */
import {
  type FloatImage,
  intersect,
  quantile,
  type Reading,
  type Region,
  type Rgb,
} from '../../../core/index.js'
import { type Half, plateCells } from '../match/measure.js'

/** A card that is less even than this between its quartiles is bent, shaded or no card (a choice). */
const UNEVEN = 0.25
/** Share of the ceiling above which the card counts as clipped. */
const CLIPPED = 0.95
const FEWEST_CELLS = 9

/**
 * @param region the card alone, without its border
 * @param reflectance 0 to 1
 * @param clip linear value at which the file's code ends
 */
export function ambientOfCard(
  image: FloatImage,
  frame: number,
  region: Region,
  reflectance: number,
  clip: number,
  half: Half,
): Reading<Rgb> {
  const inside = intersect(image.region, region)
  if (inside.width !== region.width || inside.height !== region.height)
    return { cannotTell: 'the grey card lies outside its picture, or partly so' }
  const cells = plateCells(image, region, half).map((c) => Float64Array.from(c).sort())
  if ((cells[0]?.length ?? 0) < FEWEST_CELLS)
    return { cannotTell: 'the grey card is too small in its picture' }
  const at = (q: number) => cells.map((c) => quantile(c, q))
  const [middle, low, high] = [at(0.5), at(0.25), at(0.75)]
  if (middle.some((v) => v >= CLIPPED * clip)) return { cannotTell: 'the grey card is clipped' }
  if (middle.some((v) => v <= 0)) return { cannotTell: 'the grey card is black' }
  const apart = middle.map((_, c) => (high[c] as number) - (low[c] as number))
  const uneven = Math.max(...apart.map((a, c) => a / (middle[c] as number)))
  if (uneven > UNEVEN)
    return { cannotTell: `the grey card is uneven: its quartiles lie ${Math.round(100 * uneven)} % apart` }
  const [r, g, b] = middle.map((m) => m / reflectance)
  return {
    value: [r as number, g as number, b as number],
    evidence: {
      kind: 'measured',
      frames: [frame],
      region,
      method: `middle of 4×4 means on the grey card, over its reflectance ${reflectance}`,
      // Quartiles of normal data lie 1.349 σ apart.
      spread: Math.max(...apart) / 1.349 / reflectance,
      confidence: 0.9,
    },
  }
}
