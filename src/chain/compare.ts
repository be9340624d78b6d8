/** What the links' `compare.ts` see of a finished frame, and what they say of it. */
import type { FloatImage, Region } from '../core/index.js'
import type { Bend } from './lens/bend.js'

/** One frame of the finished file beside the plate, over the whole frame. */
export interface Seen {
  /** Frame of the shot. */
  readonly frame: number
  readonly plate: FloatImage
  readonly rendered: FloatImage
  /** What the chain gives without any grain added, linear. */
  readonly predicted: FloatImage
  /** Plate and rendered in the plate's code values, 0 to 1. */
  readonly plateCode: FloatImage
  readonly renderedCode: FloatImage
  /** The next frame, where there is one: linear. */
  readonly plateAfter: FloatImage | undefined
  readonly renderedAfter: FloatImage | undefined
  /** What is left of the plate after all elements, per pixel. */
  readonly keep: Float32Array
  /** 1 where any treatment touches. */
  readonly touched: Uint8Array
}

/** One element on that frame, as the chain placed it. */
export interface SeenElement {
  readonly id: string
  /** Coverage per pixel of the whole frame; 0 where it is not. */
  readonly alpha: Float32Array
  /** Added light (luminance of the layer) per pixel. */
  readonly light: Float32Array
  /** Where it can be. */
  readonly region: Region
  /** Edges of its own picture, not cut to the frame: in plate pixels before the lens bends them; where it is carried, in its own, scaled to about those. */
  readonly box: {
    readonly left: number
    readonly top: number
    readonly right: number
    readonly bottom: number
  }
  /** How what carries it and the plate's lens draw the box in the plate; NaN where they do not. Undefined: as it is. */
  readonly bend: Pick<Bend, 'drawn' | 'straight'> | undefined
  /** How much of it is hidden by what stands before it, 0 to 1 a pixel; undefined where nothing can. */
  readonly holdout: Float32Array | undefined
}

/** A tell before it has been weighed. */
export interface Verdict {
  readonly tell: string
  readonly link: string
  readonly frames: readonly number[]
  readonly region: Region
  readonly unit: string
  readonly measured: number
  readonly expected: number
  readonly limit: number
  readonly confidence: number
  readonly sentence: string
  readonly cause: string
  readonly remedy: string
  /** How much it stands out, 1 at the limit. */
  readonly contrast: number
}

/** Findings of one compare: tells, what it could not tell, and the quantities for the ledger. */
export interface Comparison {
  readonly verdicts: readonly Verdict[]
  readonly undecided: readonly { readonly tell: string; readonly link: string; readonly why: string }[]
  /** By quantity: what was measured on the result. */
  readonly measured: Readonly<Record<string, readonly number[]>>
  /** By tell: how it was judged, where there is more than one way. */
  readonly notes?: Readonly<Record<string, string>>
}

/** Nothing to say. */
export function quiet(measured: Comparison['measured'] = {}): Comparison {
  return { verdicts: [], undecided: [], measured }
}

export function telling(verdict: Verdict, measured: Comparison['measured']): Comparison {
  return { verdicts: [verdict], undecided: [], measured }
}

export function cannotTell(tell: string | readonly string[], link: string, why: string): Comparison {
  return { verdicts: [], undecided: [tell].flat().map((t) => ({ tell: t, link, why })), measured: {} }
}

/** `1.4 stops`, without the sign: the sentence says which way. */
export function stops(v: number): string {
  const n = Math.abs(v).toFixed(1)
  return `${n} ${n === '1.0' ? 'stop' : 'stops'}`
}

/** Smallest region around the pixels of the frame that pass. */
export function regionWhere(width: number, height: number, pass: (pixel: number) => boolean): Region {
  let x0 = width
  let y0 = height
  let x1 = -1
  let y1 = -1
  for (let y = 0, p = 0; y < height; y++) {
    for (let x = 0; x < width; x++, p++) {
      if (!pass(p)) continue
      if (x < x0) x0 = x
      if (x > x1) x1 = x
      if (y < y0) y0 = y
      y1 = y
    }
  }
  return x1 < 0
    ? { x: 0, y: 0, width: 0, height: 0 }
    : { x: x0, y: y0, width: x1 - x0 + 1, height: y1 - y0 + 1 }
}
