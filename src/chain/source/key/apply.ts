/**
 * A keyed element: a frame before a coloured screen as premultiplied light without it.
 *
 *   where the screen surely is   α = 0, exactly
 *   where the element surely is  α = 1, exactly; its spill is taken off
 *   where a person drew it out   nothing
 *   between                      α and colour from `unmix`, α seen against what is level nearby (`plateau`); what lies within 1.5 σ
 *                                of 0 or 1, σ that of the noise, becomes 0 or 1, and as much beyond that leads over to α as it is;
 *                                small faint islands go (`specks.ts`)
 */
import type { FloatImage, Rgb } from '../../../core/index.js'
import type { Areas } from '../screen/areas.js'
import { type Screen, screenRoots } from '../screen/model.js'
import { type Colours, elementAround, screenAround } from './around.js'
import { plateau } from './plateau.js'
import { ASKED, ELEMENT, regionsOf, unitOf } from './regions.js'
import { withoutSpecks } from './specks.js'
import { takeSpill } from './spill.js'
import { type Around, unmix } from './unmix.js'

export interface KeyWays {
  /** Share of the spill that is taken off, 0 to 1. */
  readonly spill: number
  /** Roots of the clean plate that the screen was fitted with. */
  readonly clean?: FloatImage | undefined
  /** What a person drew. */
  readonly areas?: Areas | undefined
}

const FLOOR = 1.5
const WIDEST_FLOOR = 0.1

/** @param light opaque linear light of a whole frame @param screen of the same frame */
export function keyed(
  light: FloatImage,
  screen: Screen,
  { spill, clean: plate, areas }: KeyWays,
): FloatImage {
  const unit = unitOf(light.region.height)
  const roots = screenRoots(screen, plate)
  const { behind: first } = lookedAt(light, roots, screen, areas, unit)
  // Shadows and folds that the fit missed are screen as well once the screen beside them is known.
  const { regions, behind } = lookedAt(light, rootsOf(first), screen, areas, unit)
  const clean = withoutSpill(light, behind, regions, spill)
  const colours = elementAround(clean, regions, unit)
  const alpha = Float32Array.from(regions, (r) => (r === ELEMENT ? 1 : 0))
  const floor = new Float32Array(regions.length)
  const out = { region: light.region, data: new Float32Array(light.data.length) }
  for (let p = 0; p < regions.length; p++) {
    const i = 4 * p
    if (regions[p] === ELEMENT) for (let k = i; k < i + 3; k++) out.data[k] = clean.data[k]!
    if (regions[p] !== ASKED) continue
    const at = {
      screen: colourAt(behind, i),
      noise: screen.noise,
      ...statisticsAt(colours, i),
    } satisfies Around
    const found = unmix(colourAt(light, i), at)
    alpha[p] = found.alpha
    floor[p] = Math.min(FLOOR * found.unsure, WIDEST_FLOOR)
    takeSpill(found.colour, at.screen, spill)
    out.data.set(found.colour, i)
  }
  const whole = plateau(alpha, light.region, unit)
  for (let p = 0; p < alpha.length; p++)
    alpha[p] = settled(Math.min((alpha[p] as number) / (whole[p] as number), 1), floor[p] as number)
  withoutSpecks(alpha, light.region, unit)
  for (let p = 0; p < alpha.length; p++) {
    const held = alpha[p] as number
    for (let i = 4 * p; i < 4 * p + 3; i++) out.data[i] = held * (out.data[i] as number)
    out.data[4 * p + 3] = held
  }
  return out
}

/** Nothing within `floor` of 0, everything within it of 1, and what is more than twice as far from both as it is. */
function settled(alpha: number, floor: number): number {
  const up = (v: number) => Math.min(v, Math.max(2 * (v - floor), 0))
  return alpha < 0.5 ? up(alpha) : 1 - up(1 - alpha)
}

function lookedAt(
  light: FloatImage,
  roots: FloatImage,
  screen: Screen,
  areas: Areas | undefined,
  unit: number,
) {
  const regions = regionsOf(light, roots, screen, areas)
  return { regions, behind: screenAround(light, roots, regions, unit) }
}

function rootsOf({ region, data }: FloatImage): FloatImage {
  const roots = new Float32Array(data.length)
  for (let i = 0; i < data.length; i++) roots[i] = Math.sqrt(Math.max(data[i]!, 0))
  return { region, data: roots }
}

function withoutSpill(light: FloatImage, behind: FloatImage, regions: Uint8Array, spill: number): FloatImage {
  const data = light.data.slice()
  for (let p = 0; p < regions.length; p++) {
    if (regions[p] !== ELEMENT) continue
    const f: [number, number, number] = colourAt(light, 4 * p)
    takeSpill(f, colourAt(behind, 4 * p), spill)
    data.set(f, 4 * p)
  }
  return { region: light.region, data }
}

function colourAt({ data }: FloatImage, i: number): [number, number, number] {
  return [data[i] as number, data[i + 1] as number, data[i + 2] as number]
}

function statisticsAt({ mean, squares, products }: Colours, i: number): Pick<Around, 'mean' | 'covariance'> {
  const m: Rgb = colourAt(mean, i)
  const s = colourAt(squares, i)
  const x = colourAt(products, i)
  const variance = (c: 0 | 1 | 2) => Math.max(s[c] - m[c] * m[c], 0)
  return {
    mean: m,
    covariance: [
      variance(0),
      variance(1),
      variance(2),
      x[0] - m[0] * m[1],
      x[1] - m[0] * m[2],
      x[2] - m[1] * m[2],
    ],
  }
}
