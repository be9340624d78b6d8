/** A file to make and what is wrong with it. */
export interface Case {
  readonly name: string
  readonly make: (folder: string) => Promise<string>
  /** Absent: a clean file. */
  readonly fault?: {
    /** Code of the finding that must speak. */
    readonly code: string
    /** What its sentence must say: this fault and no other of its code. */
    readonly says: RegExp
    /** Other findings that follow from the fault itself and may be faults too. */
    readonly also: readonly string[]
  }
}

export const STRENGTHS = [1, 2, 3] as const
export type Strength = (typeof STRENGTHS)[number]

/** One of three by strength, weakest first. */
export function by<T>(s: Strength, weak: T, middle: T, strong: T): T {
  return [weak, middle, strong][s - 1]
}
