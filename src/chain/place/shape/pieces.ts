/** Which pieces of an outline come near which rows: so that each is looked at where it counts alone. */
import type { Region } from '../../../core/index.js'
import type { Moment } from './outline.js'

/** A moment as far as it concerns some rows. */
export interface NearMoment extends Moment {
  /** Indices of the pieces that come near them, each from the point of that index to the next. */
  readonly pieces: Int32Array
}

/**
 * @param rows how many belong together  @param reach px beyond a piece that it concerns
 * @returns by the number of such a band of rows, from the region's top
 */
export function piecesByRows(
  moments: readonly Moment[],
  { y, height }: Region,
  rows: number,
  reach: number,
): (band: number) => readonly NearMoment[] {
  const bands = Math.ceil(height / rows)
  const own = moments.map(({ line }) => sorted(line, bands, (v) => (v - y) / rows, reach / rows))
  return (band) =>
    moments.map((m, i) => {
      const { from, pieces } = own[i] as ReturnType<typeof sorted>
      return { ...m, pieces: pieces.subarray(from[band], from[band + 1]) }
    })
}

/** Pieces by band; those of band b stand from `from[b]` on. */
function sorted(line: Float64Array, bands: number, bandOf: (y: number) => number, reach: number) {
  const count = line.length / 2
  const [first, end] = [new Int32Array(count), new Int32Array(count)]
  const from = new Int32Array(bands + 1)
  for (let i = 0; i < count; i++) {
    const a = bandOf(line[2 * i + 1] as number)
    const b = bandOf(line[(2 * i + 3) % line.length] as number)
    first[i] = Math.max(Math.floor(Math.min(a, b) - reach), 0)
    end[i] = Math.min(Math.floor(Math.max(a, b) + reach) + 1, bands)
    for (let k = first[i] as number; k < (end[i] as number); k++) from[k + 1] = (from[k + 1] as number) + 1
  }
  for (let k = 0; k < bands; k++) from[k + 1] = (from[k + 1] as number) + (from[k] as number)
  const pieces = new Int32Array(from[bands] as number)
  const next = from.slice()
  for (let i = 0; i < count; i++) {
    for (let k = first[i] as number; k < (end[i] as number); k++) {
      const at = next[k] as number
      pieces[at] = i
      next[k] = at + 1
    }
  }
  return { from, pieces }
}
