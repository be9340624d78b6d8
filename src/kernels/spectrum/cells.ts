/**
 * The cells of a window's spectrum that count, and what a blur leaves of each. The same for all windows of one size, so it is worked
 * out once for each blur that is asked for.
 */
import { directionOf, type Polar, SECTORS } from './polar.js'

/** What a blur leaves of a spatial frequency (u, v), cycles a pixel right and down; 1 at frequency 0. */
export type Transfer = (u: number, v: number) => number

/** Blurs of one shape, by their size. */
export interface BlurFamily {
  /** Tells it from other families. */
  readonly name: string
  readonly of: (size: number) => Transfer
}

/** Rings nearest to frequency 0 hold the taper's lobe and the light's fall over the window. */
const FIRST_RING = 3
const LEAST_LOOKS = 0.2
const MIDDLE = Math.log(0.11)
/** Of the scene, for each cell. */
export const TERMS = 8
/** The taper's lobe, in steps of a ring, and where across a sector a transfer is looked at. */
const LOBE = Math.sqrt(1 / 3)
const LOOKS = looksWithin([-1, -0.5, 0, 0.5, 1], [-0.25, 0.25])
/** Window sizes that are remembered: fits look at windows of one size, whole and halved. */
const SIZES = 6
const remembered = new Map<string, Cells>()

/** @param spectrum of any window of its size */
export function cellsOf(spectrum: Polar): Cells {
  const key = `${spectrum.width} ${spectrum.height}`
  const cells = remembered.get(key) ?? new Cells(spectrum)
  remembered.delete(key)
  remembered.set(key, cells)
  for (const oldest of remembered.keys()) if (remembered.size > SIZES) remembered.delete(oldest)
  return cells
}

export class Cells {
  /** Where in the spectrum each lies. */
  readonly index: Int32Array
  /** The scene's terms of each cell, one cell behind the other: 1, t, t², t³, cos 2θ, sin 2θ, cos 4θ, sin 4θ. */
  readonly terms: Float64Array
  readonly #pixel: Float64Array
  /** Where a transfer is looked at for each cell: u and v of every place of LOOKS, one cell behind the other. */
  readonly #places: Float64Array
  readonly #kept = new Map<string, Float64Array>()

  constructor({ rings, looks, step }: Polar) {
    const cells: number[] = []
    for (let s = 0; s < SECTORS; s++)
      for (let r = FIRST_RING; r < rings; r++)
        if (looks[s * rings + r] > LEAST_LOOKS) cells.push(s * rings + r)
    const at = (cell: number, ring: number, sector: number): [number, number] => {
      const f = ((cell % rings) + 1 + ring) * step
      const a = directionOf(Math.floor(cell / rings)) + (sector * Math.PI) / SECTORS
      return [f * Math.cos(a), f * Math.sin(a)]
    }
    this.index = Int32Array.from(cells)
    this.terms = Float64Array.from(
      cells.flatMap((cell) => {
        const t = Math.log(((cell % rings) + 1) * step) - MIDDLE
        const a = 2 * directionOf(Math.floor(cell / rings))
        return [1, t, t * t, t ** 3, Math.cos(a), Math.sin(a), Math.cos(2 * a), Math.sin(2 * a)]
      }),
    )
    this.#pixel = Float64Array.from(cells, (cell) => {
      const [u, v] = at(cell, 0, 0)
      return (sinc(u) * sinc(v)) ** 2
    })
    this.#places = Float64Array.from(
      cells.flatMap((cell) => LOOKS.flatMap(({ ring, sector }) => at(cell, ring, sector))),
    )
  }

  /** |H|² of each cell as the taper mixes it, times the pixel's own. */
  kept({ name, of }: BlurFamily, size: number): Float64Array {
    const key = `${name} ${size}`
    let kept = this.#kept.get(key)
    if (kept === undefined) {
      kept = this.#mixed(of(size))
      this.#kept.set(key, kept)
    }
    return kept
  }

  #mixed(transfer: Transfer): Float64Array {
    return this.#pixel.map((pixel, i) => {
      let sum = 0
      for (let k = 0, at = 2 * i * LOOKS.length; k < LOOKS.length; k++, at += 2)
        sum += LOOKS[k].share * transfer(this.#places[at], this.#places[at + 1]) ** 2
      return pixel * sum
    })
  }
}

/** Places within a cell, in steps of a ring and of a sector, and the share of each: a Gaussian's across rings. */
function looksWithin(rings: readonly number[], sectors: readonly number[]) {
  const all = rings.flatMap((ring) =>
    sectors.map((sector) => ({ ring, sector, share: Math.exp(-0.5 * (ring / LOBE) ** 2) })),
  )
  const whole = all.reduce((sum, { share }) => sum + share, 0)
  return all.map((look) => ({ ...look, share: look.share / whole }))
}

function sinc(x: number): number {
  return x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x)
}
