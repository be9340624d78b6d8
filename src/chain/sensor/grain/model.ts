/**
 * Grain: the plate's own noise as a function of level, topped up where an element took it away.
 *
 *   missing = σ²(level) − (1 − α)² σ²plate − α² σ²element        added = √(missing (1 − s)) · fine + √(missing s) · coarse
 *
 * σ²(level) is piecewise linear through the measured levels and flat outside them; so is s(level), the share of it that lies in
 * blotches many pixels wide, mostly of colour. Both fields have unit variance: the fine one the plate's correlation between neighbours
 * along luma and two axes of colour (`axes.ts`), the coarse one the plate's between channels and its width. New on every frame.
 * Source: [foi2008]; ARCHITECTURE rule 6.
 */
import type { Rgb } from '../../../core/index.js'
import { type Coarse, type Mixing, mixFactor, type ThreeEnds, tableEnds } from '../../../kernels/index.js'
import { type Axes, axesOf } from './axes.js'
import { PAIRS6 } from './cells.js'
import { type Together, together } from './parted.js'

type Lists = readonly [readonly number[], readonly number[], readonly number[]]

export interface GrainModel extends Axes {
  /** Ascending linear levels. */
  readonly levels: readonly number[]
  /** Variance at those levels, one list a channel. */
  readonly variance: Lists
  /** The same as tables. */
  readonly norm: ThreeEnds
  /** Undefined where grain is fine throughout. */
  readonly coarse: (Coarse & { readonly share: Lists; readonly ends: ThreeEnds }) | undefined
}

/** The document's lists (see params.ts); what it does not hold is empty. */
export interface GrainLists {
  readonly levels: readonly number[]
  readonly variance: readonly number[]
  readonly correlation: readonly number[]
  readonly mix: readonly number[]
  readonly cross: readonly number[]
  readonly coarse: readonly number[]
  readonly coarseSize: readonly number[]
  readonly coarseMix: readonly number[]
}

/** The model out of them; undefined where no grain was measured. */
export function grainModel(lists: GrainLists): GrainModel | undefined {
  const { levels, variance, correlation, mix, cross } = lists
  const n = levels.length
  if (n === 0 || variance.length !== 3 * n) return undefined
  const own = byChannel(variance, n)
  return {
    ...{ levels, variance: own, norm: tables(levels, own), coarse: coarseOf(lists) },
    ...axesOf({ own: correlation, mix, cross }),
  }
}

function coarseOf({ levels, coarse, coarseSize, coarseMix }: GrainLists): GrainModel['coarse'] {
  const n = levels.length
  const wide = coarseSize[0] ?? 0
  if (wide <= 0 || coarse.length !== 3 * n || coarse.every((s) => s <= 0)) return undefined
  const size = Math.max(1, Math.round(wide))
  const share = byChannel(
    coarse.map((s) => Math.min(Math.max(s, 0), 1)),
    n,
  )
  const [rg = 0, rb = 0, gb = 0] = coarseMix
  return { size, mixing: mixFactor([rg, rb, gb]), share, ends: tables(levels, share) }
}

function byChannel(list: readonly number[], n: number): Lists {
  return [list.slice(0, n), list.slice(n, 2 * n), list.slice(2 * n)]
}

function tables(levels: readonly number[], lists: Lists): ThreeEnds {
  const [r, g, b] = lists.map((list) => tableEnds((level) => tableAt(levels, list, level)))
  return [r, g, b] as ThreeEnds
}

/** Variance of channel `c` at a linear level. */
export function varianceAt(m: Pick<GrainModel, 'levels' | 'variance'>, c: number, level: number): number {
  return tableAt(m.levels, m.variance[c] as readonly number[], level)
}

/** Covariances of one pixel's grain at levels of R, G, B. */
export function documentTogether(m: GrainModel, level: Rgb): Together {
  const at = (lists: Lists) => lists.map((list, c) => tableAt(m.levels, list, level[c] as number))
  const alike = (mixing: Mixing) =>
    PAIRS6.map(([a, b]) =>
      [0, 1, 2].reduce((sum, j) => sum + (mixing[3 * a + j] as number) * (mixing[3 * b + j] as number), 0),
    )
  const fine = alike(m.mixing)
  const { coarse } = m
  return coarse === undefined
    ? together(at(m.variance), [0, 0, 0], fine, fine)
    : together(at(m.variance), at(coarse.share), fine, alike(coarse.mixing))
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
