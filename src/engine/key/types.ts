/** What is asked of a key, and what comes of it. */
import type { EdgeWays } from '../../chain/source/edge/apply.js'
import type { Problem } from '../../core/index.js'
import type { OpenOptions } from '../../media/index.js'

type Place = readonly [number, number]

/** A file of the ground alone, of which the mean is taken, or one linear light: red, green and blue. */
export type Ground = string | readonly [number, number, number]

export interface KeyOptions {
  /** `name.####.exr` or a folder. */
  readonly out: string
  /** Of the file, 0-based; all when absent. */
  readonly frames?: { readonly first: number; readonly count: number } | undefined
  /** A place, in pixels of the file, where the first of these frames shows the screen alone. */
  readonly at?: { readonly x: number; readonly y: number } | undefined
  /** A place where it shows a plain wall alone, of any colour or none: what is not as light, or of another colour, is the element. */
  readonly wall?: { readonly x: number; readonly y: number } | undefined
  /** The ground without the element. */
  readonly clean?: Ground | undefined
  /** Frames of that file, or of this one, that show it alone; all when absent. */
  readonly cleanFrames?: { readonly first: number; readonly count: number } | undefined
  /** The same pictures before a second ground, and that without the element. */
  readonly second?: { readonly file: string; readonly clean: Ground } | undefined
  /** Polygons in pixels of the file within which nothing is kept. */
  readonly outside?: readonly (readonly Place[])[] | undefined
  /** The same within which all is the element. */
  readonly covered?: readonly (readonly Place[])[] | undefined
  /** A matte of the element that is given: no screen is looked for. Its alpha where it has one, else its first plane. */
  readonly matte?: string | undefined
  /** Mattes of what is none of the element, and of what surely is. */
  readonly outsideFiles?: readonly string[] | undefined
  readonly coveredFiles?: readonly string[] | undefined
  /** How far edges go outward, and how much wider they become, px. */
  readonly edge?: EdgeWays | undefined
  /** Share of the screen's light on the element that is taken off, 0 to 1. */
  readonly spill: number
  /** Angle of the shutter of the camera that filmed it, degrees; measured off its streaks where nobody says it. */
  readonly shutter?: number | undefined
  /** Each frame by itself: neither chatter nor cut streaks are looked for in those beside it. */
  readonly alone?: boolean
  readonly encoding?: OpenOptions['encoding']
  /** Starts over; else what was broken off goes on from its whole frames. */
  readonly fresh?: boolean
}

export interface KeyedFile {
  readonly frames: { readonly first: number; readonly count: number }
  /** Shares of red, green and blue in the light of a screen whose colour was looked for. */
  readonly screen?: readonly [number, number, number]
  /** Angle by which streaks were given back, and on how many frames there were any. */
  readonly streaks?: { readonly shutter: number; readonly frames: number }
  /** Frames on which no screen is seen, or neither of two backings. */
  readonly without: readonly number[]
  /** Frames taken over from a call that was broken off. */
  readonly resumed: number
  readonly findings: readonly Problem[]
}
