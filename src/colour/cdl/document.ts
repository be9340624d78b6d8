/**
 * What the three XML files of the ASC CDL hold: one correction (`.cc`), a collection of them (`.ccc`), or a list of
 * decisions that tie corrections to media (`.cdl`).
 *
 * Source: [asccdl].
 */
import type { Rgb } from '../../core/index.js'
import type { CdlValues } from './model.js'

/** Words that a list, a collection, a decision or a correction may carry, kept to the letter. */
export interface CdlWords {
  readonly descriptions: readonly string[]
  /** The encoding that the decision was made on. */
  readonly inputDescription?: string
  /** How it was looked at. */
  readonly viewingDescription?: string
}

/** One correction. A part that the file leaves out does nothing. */
export interface ColorCorrection extends CdlWords {
  readonly id?: string
  readonly sop?: {
    readonly slope: Rgb
    readonly offset: Rgb
    readonly power: Rgb
    readonly descriptions: readonly string[]
  }
  readonly sat?: { readonly saturation: number; readonly descriptions: readonly string[] }
}

/** One decision: a correction, written out or by the id of another, for some media. */
export interface ColorDecision extends CdlWords {
  /** URI of the clip, where the file names one. */
  readonly mediaRef?: string
  readonly correction: ColorCorrection | { readonly ref: string }
}

export type CdlDocument =
  | { readonly kind: 'cc'; readonly correction: ColorCorrection }
  | ({ readonly kind: 'ccc'; readonly corrections: readonly ColorCorrection[] } & CdlWords)
  | ({ readonly kind: 'cdl'; readonly decisions: readonly ColorDecision[] } & CdlWords)

/** What a correction does; what it leaves out is neutral. */
export function cdlValues({ sop, sat }: ColorCorrection): CdlValues {
  return {
    slope: sop?.slope ?? [1, 1, 1],
    offset: sop?.offset ?? [0, 0, 0],
    power: sop?.power ?? [1, 1, 1],
    saturation: sat?.saturation ?? 1,
  }
}

/** Every correction that a document writes out, in its order. */
export function cdlCorrections(document: CdlDocument): readonly ColorCorrection[] {
  if (document.kind === 'cc') return [document.correction]
  if (document.kind === 'ccc') return document.corrections
  return document.decisions.flatMap(({ correction }) => ('ref' in correction ? [] : [correction]))
}
