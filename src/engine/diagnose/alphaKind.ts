/**
 * Which kind of alpha the evidence speaks for.
 *
 * Two witnesses: the power p by which colour goes with cover inside small blocks, and the bounds that each definition sets. An
 * element's own shading bends p (a flame's rim is darker than its core: p up to 1.4 straight; a lit rim of smoke: down to −0.4), so
 * that p alone never decides: c > α rules multiplication out, c > α² a double one. Where the two do not agree nothing is told.
 * Colour beyond white (float files, HDR and log curves) knows no bounds: there p in light must come close to a whole number.
 * Limits: choices, tried on the elements that `test/diagnosis/` paints and on real ones.
 */

import { percent } from '../words.js'
import type { AlphaLook } from './alphaLook.js'

export type AlphaFound =
  | 'none'
  | 'constant'
  | 'straight'
  | 'premultiplied'
  | 'on white'
  | 'doubly multiplied'
  | 'unknown'

export interface Kind {
  readonly found: AlphaFound
  readonly confidence: number
  readonly why?: string
  /** What was multiplied, where that can be told. */
  readonly domain?: 'codes' | 'light'
}

const LEAST = 300
/** Share of edge pixels that may break a bound: codecs, glints. */
const FEW = 0.02

/**
 * Every kind has a twin with the very same pixels: straight colour that fades out with its cover is premultiplied colour, light that
 * does not fade with it is straight. The format breaks the tie; against it, this is as much as can be known.
 */
const IMITATED = 0.75

const unknown = (why: string): Kind => ({ found: 'unknown', confidence: 0, why })

/** @param said what the file's tag or the convention of its format says */
export function kindOf(k: AlphaLook, said: 'straight' | 'premultiplied'): Kind {
  const kind = judged(k, said)
  // What fills the empty part can be no light of a premultiplied picture.
  const proven =
    kind.found === 'constant' || kind.found === said || (kind.found === 'straight' && isFilled(k))
  return proven || kind.confidence <= IMITATED ? kind : { ...kind, confidence: IMITATED }
}

function judged(k: AlphaLook, said: 'straight' | 'premultiplied'): Kind {
  if (k.highest - k.lowest < 0.004) return { found: 'constant', confidence: 0.95 }
  if (k.edges < LEAST)
    return unknown(
      `Only ${k.edges} pixels lie between nothing and full cover: too few to tell the kind of alpha.`,
    )
  const white = !k.unbounded && k.unlikeWhite > 0.2 && (k.outside < 0.02 || k.whiteOutside > 0.5)
  if (white && k.belowWhite < FEW) return { found: 'on white', confidence: k.whiteOutside > 0.9 ? 0.9 : 0.75 }
  if (white && k.belowWhite < 5 * FEW)
    return unknown(
      `It stands on white, and ${percent(k.belowWhite)} of its edge is darker than what white would leave: bent by its codec, or straight and pale.`,
    )
  if (k.codes === undefined || k.light === undefined)
    return unknown(
      k.unlikeBlack < 0.1
        ? 'Its colour is black at its edges: straight and premultiplied black are the same, and both are laid over alike. A brighter frame of it, or the settings it was rendered with, would tell.'
        : 'Its cover changes too slowly to compare its colour with it.',
    )
  if (k.unbounded) return ofFloat(k)
  if (k.hdr && k.above >= FEW) return ofLight(k)
  if (k.aboveSquare < FEW) return dark(k)
  if (k.above < FEW) return belowCover(k)
  return aboveCover(k, said)
}

function domainOf(k: AlphaLook): Pick<Kind, 'domain'> {
  const off = (p: number | undefined) => Math.abs((p ?? 0) - 1)
  const [codes, light] = [off(k.codes?.middle), off(k.light?.middle)]
  if (codes < 0.15 && light > 0.25) return { domain: 'codes' }
  return light < 0.15 && codes > 0.25 ? { domain: 'light' } : {}
}

/** Whether what is empty holds one flat colour. */
export const isFilled = (k: AlphaLook) => k.glow > 0.02 && k.flat > 0.5 && k.flatLevel > 0.05

const between = (v: number, low: number, high: number) => v > low && v < high

/** Codes are light here. A glow lifts p: it adds light that goes with no cover. */
function ofFloat(k: AlphaLook): Kind {
  const { middle: p, spread } = k.light as NonNullable<AlphaLook['light']>
  // Straight colour as bright as this would be brighter than its cover somewhere along a rim.
  if (k.glow > 0.05 && !isFilled(k) && k.above < 0.05 && p < 1.4)
    return { found: 'premultiplied', confidence: 0.65 }
  if (Math.abs(p) < 0.35) return { found: 'straight', confidence: spread < 0.5 ? 0.85 : 0.7 }
  if (between(p, 0.65, 1.5))
    return { found: 'premultiplied', confidence: Math.abs(p - 1) < 0.25 ? 0.9 : 0.75 }
  if (between(p, 1.7, 2.4) && k.aboveSquare < FEW) return { found: 'doubly multiplied', confidence: 0.7 }
  return unknown(noWhole(p))
}

function ofLight(k: AlphaLook): Kind {
  const p = (k.light as NonNullable<AlphaLook['light']>).middle
  if (Math.abs(p) < 0.4) return { found: 'straight', confidence: 0.75 }
  if (between(p, 0.65, 1.4)) return { found: 'premultiplied', confidence: 0.75, ...domainOf(k) }
  if (between(p, 1.7, 2.4)) return { found: 'doubly multiplied', confidence: 0.65, domain: 'light' }
  return unknown(noWhole(p))
}

/** c ≤ α² throughout. */
function dark(k: AlphaLook): Kind {
  const { middle: p, spread } = k.codes as NonNullable<AlphaLook['codes']>
  if (isFilled(k)) return unknown(contradicts())
  if (p >= 1.6 && (!k.byLuma || k.unlikeBlack > 0.2))
    return { found: 'doubly multiplied', confidence: Math.abs(p - 2) < 0.25 ? 0.75 : 0.7 }
  if (between(p, 0.6, 1.3) && spread < 0.45)
    return { found: 'premultiplied', confidence: 0.7, ...domainOf(k) }
  return unknown(
    `It is so dark (never brighter than its cover squared) that its colour does not tell: it goes with cover to the power ${p.toFixed(2)}. A brighter frame of it would.`,
  )
}

/** c ≤ α throughout, and somewhere above α². */
function belowCover(k: AlphaLook): Kind {
  const { middle: p, spread, blocks } = k.codes as NonNullable<AlphaLook['codes']>
  if (isFilled(k)) return unknown(contradicts())
  // One multiplication gives one power all over; shading that looks like one does not.
  if (between(p, 0.55, 2.4) && spread < 0.45) {
    const confidence = Math.abs(p - 1) < 0.25 && spread < 0.3 && blocks > 50 ? 0.9 : 0.75
    return { found: 'premultiplied', confidence, ...domainOf(k) }
  }
  if (Math.abs(p) < 0.25) return { found: 'straight', confidence: 0.7 }
  return unknown(
    `It is nowhere brighter than its cover, and goes with it to the power ${p.toFixed(2)}: dark straight colour and premultiplied colour look so.`,
  )
}

/** c > α somewhere: straight, multiplied in light, or shining beyond its cover. */
function aboveCover(k: AlphaLook, said: 'straight' | 'premultiplied'): Kind {
  const { middle: p, spread } = k.codes as NonNullable<AlphaLook['codes']>
  const light = k.light as NonNullable<AlphaLook['light']>
  // Premultiplied, that colour would be light of its own, all over the empty part.
  if (isFilled(k) && p < 1.6) return { found: 'straight', confidence: p < 0.4 ? 0.9 : 0.8 }
  const glows = k.glow > 0.05
  if (k.lightAbove < FEW && between(light.middle, 0.6, 1.4))
    return Math.abs(light.middle - 1) < 0.15 && light.spread < 0.5
      ? { found: 'premultiplied', confidence: 0.7, domain: 'light' }
      : unknown(
          `Light goes with alpha to the power ${light.middle.toFixed(2)}: multiplied in linear light, or straight with a rim darker than its core.`,
        )
  const clear = k.lightAbove >= 2 * FEW || (Math.abs(p) < 0.2 && spread < 0.5 && !glows)
  if (p < 0.35 && clear) return { found: 'straight', confidence: Math.abs(p) < 0.3 && !glows ? 0.9 : 0.7 }
  // Light above its cover as well is no multiplication, in codes or in light.
  const most = k.lightAbove > 0.25 ? 1.9 : 1.45
  if (k.above > 0.5 && p < most && said === 'straight' && !glows)
    return { found: 'straight', confidence: 0.65 }
  return unknown(
    `Colour goes with alpha to the power ${p.toFixed(2)}, yet ${percent(k.above)} of its edge is brighter than its alpha: a glow, its own shading, or a multiplication in linear light.`,
  )
}

function contradicts(): string {
  return 'Its colour goes with its cover as if multiplied, yet where alpha is 0 it holds one flat colour.'
}

function noWhole(p: number): string {
  return `Light goes with alpha to the power ${p.toFixed(2)}: neither 0 (straight) nor 1 (premultiplied) nor 2 (multiplied twice).`
}
