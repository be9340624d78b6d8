import type { Evidence, Problem, Region } from '../core/index.js'
import type { DeliveryFormat } from '../media/index.js'
import type { Cache } from './cache/store.js'

/** What every long piece of work takes. */
export interface Job {
  readonly signal?: AbortSignal
  readonly onProgress?: (p: Progress) => void
  /** Worker threads for pixel work; the result does not depend on it. Default: the machine's cores, at most 8. */
  readonly workers?: number
  /** Memory that frames in flight may take, in bytes. Default: half of what is free. */
  readonly memoryBytes?: number
  /** Where decoded frames and readings are kept between runs; the result does not depend on it. Default: nowhere. */
  readonly cache?: Cache
}

export interface Progress {
  readonly stage:
    | 'measure'
    | 'fit'
    | 'render'
    | 'check'
    | 'report'
    | 'suit'
    | 'diagnose'
    | 'track'
    | 'steady'
    | 'carry'
    | 'key'
    | 'lens'
  readonly done: number
  readonly total: number
  readonly framesPerSecond: number
  readonly secondsLeft: number
  /** Which of several files: `smoke.mov (2 of 5)`. */
  readonly item?: string
  /** The job was cancelled: no more progress comes, and the work ends within one frame more. */
  readonly stopping?: true
}

/**
 * `result`: with every treatment. `plain`: the same files placed, scaled, timed and decoded, and laid over with nothing
 * else done to them. `null`: the plate alone through the same delivery.
 */
export type Variant = 'result' | 'plain' | 'null'

export interface RenderOptions {
  /** File for a movie; `name.####.exr` or a folder for a sequence. */
  readonly out: string
  readonly format: DeliveryFormat
  readonly variant?: Variant
  /** Frames of the shot, 0-based; all when absent. */
  readonly frames?: { readonly first: number; readonly count: number }
  /** False leaves out the grain top-up (for scoring against noise-free pictures). */
  readonly grain?: boolean
  /** True starts over where an earlier call was stopped; else it goes on from its whole parts. */
  readonly fresh?: boolean
  /** True adds to each frame's record the digest of what the encoder was given. */
  readonly digests?: boolean
}

export interface RenderResult {
  readonly out: string
  readonly format: DeliveryFormat
  readonly variant: Variant
  readonly frames: readonly FrameRecord[]
  /** How many of them were taken over from a call that was killed or stopped. */
  readonly resumed: number
  readonly findings: readonly Problem[]
  readonly seconds: number
}

/** What the encoder was given for one frame of the shot. */
export interface FrameRecord {
  readonly frame: number
  /** SHA-256 of the encoder's input planes, where asked for. */
  readonly sha256?: string
  /** Smallest region that holds every touched sample; empty when nothing was. */
  readonly touched: Region
}

/** A number, a frame, a place and the cause of what would give the effect away. */
export interface Tell {
  /** `blacks`, `whites`, `middle`, `cast`, `haze`, `edge-width`, `grain-amount`, `grain-colour`, `grain-size`, `frozen-grain`, `edge-overshoot`, `sharp-colour`, `halo`, `spill`, `matte-holes`, `matte-veil`, `matte-chatter`, `cut-border`, `streak`, `wrong-size`, `wrong-horizon`, `plate-changed`, … */
  readonly tell: string
  readonly link: string
  readonly element?: string
  /** First and last frame of the shot on which it shows. */
  readonly frames: readonly [number, number]
  readonly region: Region
  readonly unit: string
  readonly measured: number
  readonly expected: number
  readonly limit: number
  readonly confidence: number
  /** `Smoke black is 1.4 stops too deep for 900 m.` */
  readonly sentence: string
  readonly cause: string
  readonly remedy: string
  /** Area × duration × contrast: what the list is sorted by. */
  readonly weight: number
  readonly meant: boolean
}

export interface Undecided {
  readonly tell: string
  readonly link: string
  readonly element?: string
  readonly why: string
}

/** One row of the ledger: a link's quantity on plate, element and result. Colours are R, G, B. */
export interface LedgerRow {
  readonly link: string
  readonly quantity: string
  readonly unit: string
  readonly element?: string
  readonly plate?: readonly number[]
  readonly source?: readonly number[]
  readonly treatment?: readonly number[]
  /** Share of the treatment that the document asks for, where that is not all of it: 0 is off. */
  readonly strength?: number
  readonly result?: readonly number[]
  /** Of `result`, where the finished file shows the treatment by another quantity: grain by its ratio to the plate's. */
  readonly resultUnit?: string
  readonly verdict: 'fits' | 'tell' | 'cannot tell' | 'not checked'
  /** What the quantity is, in a sentence. */
  readonly meaning?: string
  readonly evidence?: Evidence
  readonly note?: string
}

export interface CheckResult {
  readonly rendered: string
  readonly framesLookedAt: readonly number[]
  /** Sorted by weight, heaviest first; `meant` ones last. */
  readonly tells: readonly Tell[]
  readonly undecided: readonly Undecided[]
  readonly ledger: readonly LedgerRow[]
}
