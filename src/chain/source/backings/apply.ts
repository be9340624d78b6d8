/**
 * Coverage and colour of a thing that was filmed, or drawn, twice: before two backings that are known.
 *
 *   1 − α = Σ ΔC·ΔB / Σ ΔB²      F = (C₁ + C₂)/2 − (1 − α)·(B₁ + B₂)/2      over red, green and blue; F premultiplied
 *   σα    = √2·σ / ‖ΔB‖
 *
 *   C  light of the two pictures   B  of their backings   Δ  first less second   σ  noise of C
 *
 * The least squares of the six equations C = F + (1 − α)·B in four unknowns: nothing is assumed of the thing, neither its colour nor
 * that it does not shine. Light that stands where α = 0 is kept. Source: [smith1996], theorem 4.
 */
import type { FloatImage } from '../../../core/index.js'

/** ‖ΔB‖ below which two backings tell nothing apart: σα is 14 σ there. */
export const LEAST_APART = 0.1
/** Spreads of a bare backing's α that count as nothing. */
const FLOOR = 2

export interface Backed {
  /** Opaque linear light of whole frames of one size. */
  readonly light: FloatImage
  readonly backing: FloatImage
}

export interface Triangulated {
  readonly image: FloatImage
  /** Pixels whose backings are too much alike: they count as covered as far as the first picture says. */
  readonly alike: number
}

/** @param unsure σ of α on the bare backing: what lies within two of it is nothing, and everything */
export function triangulated(first: Backed, second: Backed, unsure = 0): Triangulated {
  const { region } = first.light
  const out = new Float32Array(first.light.data.length)
  const floor = FLOOR * unsure
  let alike = 0
  for (let i = 0; i < out.length; i += 4) {
    const share = coveredAt(first, second, i)
    if (share === undefined) alike++
    const alpha = held(share ?? 1, floor)
    out[i + 3] = alpha
    // Bare backing within its noise is nothing at all.
    if (alpha === 0 && unsure > 0 && isBare(first, i, floor)) continue
    for (let c = i; c < i + 3; c++) {
      const light = (first.light.data[c]! + second.light.data[c]!) / 2
      const backing = (first.backing.data[c]! + second.backing.data[c]!) / 2
      out[c] = Math.max(light - (1 - alpha) * backing, 0)
    }
  }
  return { image: { region, data: out }, alike }
}

/** α as it is, above 1 and below 0 as noise has it; undefined where the backings are too much alike. */
export function coveredAt({ light: a, backing: p }: Backed, { light: b, backing: q }: Backed, i: number) {
  let [both, own] = [0, 0]
  for (let c = i; c < i + 3; c++) {
    const apart = p.data[c]! - q.data[c]!
    both += (a.data[c]! - b.data[c]!) * apart
    own += apart * apart
  }
  return own < LEAST_APART * LEAST_APART ? undefined : 1 - both / own
}

function held(alpha: number, floor: number): number {
  return Math.min(Math.max((alpha - floor) / (1 - 2 * floor), 0), 1)
}

function isBare({ light, backing }: Backed, i: number, floor: number): boolean {
  for (let c = i; c < i + 3; c++)
    if (Math.abs(light.data[c]! - backing.data[c]!) > floor * Math.max(backing.data[c]!, 0.1)) return false
  return true
}
