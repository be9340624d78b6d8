import type { CurveName } from '../../core/index.js'

/** How code values stand for light, diffuse white = 1 (ARCHITECTURE rule 4). */
export interface Curve {
  readonly name: CurveName
  /** Code value (nominal 0 to 1) to linear light. Nothing is clipped. */
  readonly decode: (code: number) => number
  /** Linear light to code value. Nothing is clipped. */
  readonly encode: (linear: number) => number
  readonly formula: string
  /** What inputs mean something, and what happens beyond them. */
  readonly domain: string
  /** Key in REFERENCES.bib, or `common practice`. */
  readonly source: string
  /** Code value of linear 0.18. */
  readonly greyCode: number
}

/** A record with the grey code that follows from it. */
export function curve(record: Omit<Curve, 'greyCode'>): Curve {
  return { ...record, greyCode: record.encode(0.18) }
}

/** Odd extension below 0: f(−x) = −f(x). */
export function mirrored(f: (x: number) => number): (x: number) => number {
  return (x) => (x < 0 ? -f(-x) : f(x))
}
