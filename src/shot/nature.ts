import type { ShotElement } from './schema.js'

/** Shares of an element's colour that emit, absorb and reflect; they add up to 1. */
export interface NatureShares {
  readonly emits: number
  readonly absorbs: number
  readonly reflects: number
}

/** One word or stated shares as three shares of sum 1 (the document's rounding is taken out). */
export function natureShares(nature: ShotElement['nature']): NatureShares {
  const given = typeof nature === 'string' ? { [nature]: 1 } : nature
  const { emits = 0, absorbs = 0, reflects = 0 } = given as Partial<NatureShares>
  const sum = emits + absorbs + reflects
  return { emits: emits / sum, absorbs: absorbs / sum, reflects: reflects / sum }
}
