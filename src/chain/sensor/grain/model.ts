/**
 * Grain: the plate's own noise as a function of level, topped up where an element took it away.
 *
 *   missing = σ²(level) − (1 − α)² σ²plate − α² σ²element        added = √missing · field
 *
 * σ²(level) is piecewise linear through the measured levels and flat outside them. The field has unit variance, the plate's
 * correlation between neighbours and between channels, and is new on every frame. Source: [foi2008]; ARCHITECTURE rule 6.
 */
import { type GrainTaps, type ThreeEnds, tableEnds, tapsFor } from '../../../kernels/index.js'

export interface GrainModel {
  /** Ascending linear levels. */
  readonly levels: readonly number[]
  /** Variance at those levels, one list a channel. */
  readonly variance: readonly [readonly number[], readonly number[], readonly number[]]
  /** The same as tables. */
  readonly norm: ThreeEnds
  /** Separable taps per channel for the field. */
  readonly taps: readonly [GrainTaps, GrainTaps, GrainTaps]
  /** Correlations RG, RB, GB. */
  readonly mix: readonly [number, number, number]
}

/** The model out of the document's lists (see params.ts); undefined where no grain was measured. */
export function grainModel(
  levels: readonly number[],
  variance: readonly number[],
  correlation: readonly number[],
  mix: readonly number[],
): GrainModel | undefined {
  const n = levels.length
  if (n === 0 || variance.length !== 3 * n) return undefined
  const at = (i: number) => correlation[i] ?? 0
  const taps = (c: number): GrainTaps => ({
    x: tapsFor(at(4 * c), at(4 * c + 1)),
    y: tapsFor(at(4 * c + 2), at(4 * c + 3)),
  })
  const lists = [variance.slice(0, n), variance.slice(n, 2 * n), variance.slice(2 * n)] as const
  const norm = (c: number) => tableEnds((level) => varianceAt({ levels, variance: lists }, c, level))
  return {
    levels,
    variance: lists,
    norm: [norm(0), norm(1), norm(2)],
    taps: [taps(0), taps(1), taps(2)],
    mix: [mix[0] ?? 0, mix[1] ?? 0, mix[2] ?? 0],
  }
}

/** Variance of channel `c` at a linear level. */
export function varianceAt(m: Pick<GrainModel, 'levels' | 'variance'>, c: number, level: number): number {
  return tableAt(m.levels, m.variance[c] as readonly number[], level)
}

/** Straight lines through values at ascending levels, flat outside. */
export function tableAt(levels: readonly number[], values: readonly number[], level: number): number {
  const last = levels.length - 1
  if (!(level > (levels[0] as number))) return values[0] as number
  if (level >= (levels[last] as number)) return values[last] as number
  let i = 0
  while ((levels[i + 1] as number) < level) i++
  const a = levels[i] as number
  const t = (level - a) / ((levels[i + 1] as number) - a)
  return (values[i] as number) * (1 - t) + (values[i + 1] as number) * t
}
