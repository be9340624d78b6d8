/** What a look at a file's pixels gives: never a guess that looks like a measurement (ARCHITECTURE rule 3). */

/** What to write into the file's record of a shot document: an override, an alpha kind or a measured treatment. */
export type Suggestion =
  | {
      readonly field: 'range' | 'matrix' | 'curve' | 'alpha'
      readonly value: string
      /** Where it is less sure than the finding it comes with. */
      readonly confidence?: number
    }
  | { readonly treatment: 'source.floor' | 'source.floorNoise'; readonly value: readonly number[] }

interface Told {
  /** Stable machine-readable name: `diagnose.range`. */
  readonly code: string
  /** One sentence for a person; of `cannot tell` the reason. */
  readonly sentence: string
  /**
   * 0 to 1, of the verdict; 0 where nothing can be told. In steps of 0.05: above 0.9 what follows from a definition (a count, a
   * flag, the same bits twice); at most 0.9 what `test/diagnosis/` found right on every file of scenes that no limit was chosen
   * on, for those are painted and real ones are harder; at most 0.75 what something innocent can imitate.
   */
  readonly confidence: number
  /** Frames of the file, from 0: where it shows, or what was looked at. */
  readonly frames: readonly number[]
  readonly method: string
  readonly numbers: Readonly<Record<string, number | string | readonly number[]>>
  readonly suggestions?: readonly Suggestion[]
}

/** No fault goes without what to do about it: one sentence that a film-maker can act on. */
export type Finding =
  | (Told & { readonly verdict: 'fault'; readonly remedy: string })
  | (Told & { readonly verdict: 'fine' | 'cannot tell'; readonly remedy?: never })

/** What a finding says besides its code, frames and method. */
export type Said =
  | (Pick<Told, 'sentence' | 'confidence' | 'suggestions'> & { verdict: 'fault'; remedy: string })
  | (Pick<Told, 'sentence' | 'confidence' | 'suggestions'> & { verdict: 'fine' | 'cannot tell' })

/** A finding without a verdict of its own. */
export function cannotTell(
  code: string,
  why: string,
  method: string,
  frames: readonly number[],
  numbers: Told['numbers'] = {},
): Finding {
  return { code, verdict: 'cannot tell', sentence: why, confidence: 0, frames, method, numbers }
}

/** Four significant digits: what is worth printing of a measured number. */
export function rounded(v: number): number {
  return Number(v.toPrecision(4))
}
