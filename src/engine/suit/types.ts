/** What `suit` is asked, and what it answers: one table of lines for each element. Plain data. */
import type { Problem } from '../../core/index.js'
import type { Rate } from '../../media/index.js'

export type Verdict = 'fine' | 'poor' | 'unfit' | 'cannot tell'

export type LightSide = 'left' | 'right' | 'front' | 'back'

export type Nature = 'emits' | 'absorbs' | 'reflects'

/** What is looked at, in the order of the table. A line that does not apply to an element is left out. */
export const LINES = [
  'cut-out',
  'size',
  'rate',
  'length',
  'black floor',
  'noise',
  'clipping',
  'border',
  'compression',
  'bit depth',
  'colour sampling',
  'camera height',
  'light side',
] as const

export type LineName = (typeof LINES)[number]

/** One line of an element's table. */
export interface Line {
  readonly name: LineName
  readonly verdict: Verdict
  /** The figure in a few words: `1.4 × enlarged`. */
  readonly figure: string
  /** The figure as a number, where there is one. */
  readonly value?: number
  /** How it was judged, and against which limit. */
  readonly why: string
  /** What to tell or to do, where that changes something. */
  readonly remedy?: string
  /** 1 (nothing to wish for) to 0.05, for the score. */
  readonly worth: number
}

/** What a person knows and no file says. Everything is optional: what is missing is asked for, never guessed. */
export interface KnownFacts {
  /** Where the element's middle lies, in plate pixels from the top left. */
  readonly at?: { readonly x: number; readonly y: number } | undefined
  /** Plate pixels per element pixel. */
  readonly scale?: number | undefined
  /** Height of the element's picture in plate pixels. */
  readonly heightPx?: number | undefined
  /** Real height of the element's picture; needs the distance and the plate's lens. */
  readonly heightM?: number | undefined
  readonly distanceM?: number | undefined
  readonly focalLengthMm?: number | undefined
  readonly sensorWidthMm?: number | undefined
  /** Plate frames that the element has to last. */
  readonly frames?: number | undefined
  /** Frame rate of elements whose files carry none. */
  readonly rate?: Rate | undefined
  /** Frame rate of a plate whose files carry none. */
  readonly plateRate?: Rate | undefined
  readonly nature?: Nature | undefined
  /** Exposure that an element on black will be given. */
  readonly stops?: number | undefined
  readonly cameraHeightM?: number | undefined
  readonly elementCameraHeightM?: number | undefined
  readonly elementDistanceM?: number | undefined
  readonly lightSide?: LightSide | undefined
  readonly elementLightSide?: LightSide | undefined
}

/** An 8-bit picture as it is seen: R, G, B interleaved. */
export interface Thumbnail {
  readonly width: number
  readonly height: number
  readonly rgb: Uint8Array
}

/** An element that could be read. */
export interface Suited {
  readonly path: string
  readonly score: number
  /** The worst of its lines; `cannot tell` only when nothing is worse. */
  readonly verdict: Verdict
  readonly lines: readonly Line[]
  /** Frames looked at, from 0. */
  readonly frames: readonly number[]
  /** `1920×1080, 120 frames, h264`. */
  readonly facts: string
  /** What is written down of it: `shot from 1.6 m up, lit from the left`. */
  readonly said?: string
  /** Size of its picture in the plate, pixels; where it is known. */
  readonly placed?: { readonly width: number; readonly height: number }
  readonly thumbnail: Thumbnail
  /** The element in its place, plainly laid over; where place and size are told. */
  readonly laid?: Thumbnail
}

/** An element that could not be read, and why. */
export interface Unread {
  readonly path: string
  readonly problem: Problem
}

export interface SuitAsk {
  /** Elements, or folders of elements. */
  readonly elements: readonly string[]
  readonly plate: string
  readonly known: KnownFacts
}

export interface SuitResult {
  readonly plate: {
    readonly path: string
    readonly facts: string
    readonly grain: string
    readonly size: { readonly width: number; readonly height: number }
    readonly thumbnail: Thumbnail
  }
  /** That looking at all elements took. */
  readonly seconds: number
  /** Best first. */
  readonly elements: readonly Suited[]
  readonly unread: readonly Unread[]
  readonly findings: readonly Problem[]
}
