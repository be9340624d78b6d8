/** What the edges of an element and those of the plate around it show in the finished file, by one meter. */
import type { Reading, Region } from '../../core/index.js'

/** Of the same frames. */
export interface Beside<T> {
  readonly frames: readonly number[]
  readonly region: Region
  readonly element: Reading<T>
  readonly plate: Reading<T>
}
