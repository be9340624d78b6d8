/**
 * One declaration of a treatment's parameter. It makes the schema of the shot document, the command-line help,
 * the form on the page and the reference: nothing about a parameter is written twice.
 */
export interface Param {
  /** `link.name`: `lens.blurRadius`. */
  readonly name: string
  /** `stops`, `px`, `K`, `linear`, `–`. */
  readonly unit: string
  /** How many numbers: 1 for a scalar, 3 for R, G, B; 0 for a list of any length. */
  readonly count: number
  /** Of a list of any length that is not empty: how many numbers it holds. */
  readonly holds?: number | ParamTimes
  /** Of a list: every number above the one before. */
  readonly ascending?: true
  readonly min: number
  readonly max: number
  readonly default: readonly number[]
  /** One sentence for a person. */
  readonly meaning: string
  /** Models that the numbers can belong to, each with a count of its own; the first is meant where the document names none. */
  readonly forms?: readonly ParamForm[]
  /** Key in REFERENCES.bib, or `common practice`. */
  readonly source?: string
}

/** So many numbers for each of another list's. */
export interface ParamTimes {
  readonly times: number
  /** Name of the parameter whose numbers are counted. */
  readonly of: string
}

/** One of several models that a parameter's numbers can belong to. */
export interface ParamForm {
  readonly name: string
  readonly count: number
  /** What each number is. */
  readonly meaning: string
  readonly source: string
}
