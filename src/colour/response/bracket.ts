import { Problem, type Reading, type Rgb } from '../../core/index.js'
import type { Response } from './curve.js'
import { fitResponse } from './fit.js'

/** One exposure of the card. */
export interface BracketShot {
  /** Exposure against the plate's own, in stops: +1 twice the light. */
  readonly stops: number
  /** Mean code values R′ G′ B′ over the card, nominal 0…1. */
  readonly code: Rgb
}

/**
 * A camera's curve from a card of known reflectance, filmed at several exposures. The card of exposure 0 has its
 * reflectance as light, in every channel: the light that falls on it counts as white.
 *
 * @param reflectance of the card, 0…1: 0.18 for a grey card
 * @param options frames for the evidence; `clip`: code at and above which nothing is believed, 0.995 when absent
 * @returns cannot tell with fewer than five usable exposures over three stops, or where they contradict each other
 * @throws Problem `colour.response-card` for a reflectance that no card has
 */
export function responseOfBracket(
  shots: readonly BracketShot[],
  reflectance: number,
  options: { readonly frames: readonly number[]; readonly clip?: number },
): Reading<Response> {
  if (!(reflectance > 0 && reflectance <= 1)) {
    throw new Problem({
      code: 'colour.response-card',
      what: 'no card has this reflectance',
      expected: 'a number above 0, up to 1',
      received: String(reflectance),
    })
  }
  const samples = shots.map(({ stops, code }) => {
    const light = reflectance * 2 ** stops
    return { light: [light, light, light] as const, code }
  })
  const method = `${shots.length} exposures of a card of ${Number((100 * reflectance).toPrecision(3))} % reflectance`
  return fitResponse(samples, { ...options, method })
}
