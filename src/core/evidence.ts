import type { Region } from './region.js'

/** Where a number came from. Every treatment value carries one. */
export type Evidence =
  | {
      readonly kind: 'measured'
      /** Plate or element frames looked at, by index from 0. */
      readonly frames: readonly number[]
      readonly region?: Region
      readonly method: string
      /** One standard deviation, in the value's unit. */
      readonly spread?: number
      /** 0 (a guess) to 1 (certain); flows downhill into what is derived from it. */
      readonly confidence: number
    }
  | {
      readonly kind: 'derived'
      readonly formula: string
      readonly inputs: Readonly<Record<string, number | string | readonly number[]>>
      readonly confidence: number
    }
  | { readonly kind: 'set'; readonly note?: string }
  | { readonly kind: 'assumed'; readonly why: string; readonly confidence: number }

/** A meter's answer: a value with evidence, or the reason why there is none. Never a guess that looks measured. */
export type Reading<T> = Told<T> | { readonly cannotTell: string }

export interface Told<T> {
  readonly value: T
  readonly evidence: Evidence
}

/** True when the reading holds a value. */
export function told<T>(r: Reading<T>): r is Told<T> {
  return 'value' in r
}

/** Confidence of any evidence; what was set by hand is trusted. */
export function confidenceOf(e: Evidence): number {
  return e.kind === 'set' ? 1 : e.confidence
}

/** One standard deviation of what was measured; 0 where it has none. */
export function spreadOf(r: Reading<unknown>): number {
  return told(r) && r.evidence.kind === 'measured' ? (r.evidence.spread ?? 0) : 0
}
