import type { FloatImage } from '../../core/index.js'

/** A function of one number, tabulated (see `curveTable`). */
export interface CurveTable {
  readonly fn: (x: number) => number
  readonly values: Float32Array
}

export function curveTable(_fn: (x: number) => number): CurveTable {
  throw new Error('being written')
}

export function applyCurve(_image: FloatImage, _table: CurveTable): void {
  throw new Error('being written')
}
