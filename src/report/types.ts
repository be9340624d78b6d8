import type { Region, Rgb } from '../core/index.js'
import type { CheckResult } from '../engine/types.js'
import type { Shot } from '../shot/schema.js'

/** What a report is made of. Paths are the file system's own, except those inside `shot`. */
export interface ReportInput {
  readonly shot: Shot
  /** Folder that the paths inside `shot` are relative to. */
  readonly folder: string
  readonly check: CheckResult
  readonly rendered: string
  /** The whole shot as a plain over. */
  readonly plain?: string
  /** Used when `plain` is absent: renders these frames as a plain over and says where; its frame 0 is `first`. */
  readonly renderPlain?: (frames: { readonly first: number; readonly count: number }) => Promise<string>
  /** Worlds: the picture in which the effect was really there. */
  readonly truth?: string
  /** A `.cube` table that the pictures are shown through, in place of our viewing transform. */
  readonly view?: string
  /** A grading decision (`.cc`, `.ccc`, `.cdl`) that the pictures are shown under, and the id of one of several. */
  readonly grade?: { readonly file: string; readonly id?: string }
  /** The page to write; `.html`. */
  readonly out: string
  readonly title?: string
}

export interface ReportResult {
  readonly out: string
  readonly bytes: number
}

/** An 8-bit picture as it is seen: R, G, B interleaved, 3 · width · height bytes. */
export interface Picture {
  readonly width: number
  readonly height: number
  readonly rgb: Uint8Array
}

export interface Push {
  /** Stops of light before the view. */
  readonly stops?: number
  /** Gain on displayed values; black stays black. */
  readonly blackBoost?: number
}

/** One frame of a file, seen through the viewing transform. */
export interface Look {
  readonly width: number
  readonly height: number
  view(region: Region, push?: Push): Picture
}

/** An opened file of the report. */
export interface Footage {
  /** Width over height of one pixel. */
  readonly pixelAspect: number
  readonly frameCount: number
  /** Light beyond diffuse white is part of the picture (PQ, HLG, linear): the page chooses how bright to show it. */
  readonly wideRange: boolean
  readonly facts: FileFacts
  look(frame: number): Promise<Look>
  close(): Promise<void>
}

export interface FileFacts {
  readonly role: string
  readonly name: string
  /** Label and plain text, in order. */
  readonly lines: readonly (readonly [string, string])[]
  readonly findings: readonly string[]
}

export type Role = 'plate' | 'result' | 'plain' | 'truth'

export type StillFormat = 'png' | 'jpeg'

/** What the report needs from the rooms below; tests put their own here. */
export interface Hands {
  open(role: Role, path: string): Promise<Footage>
  /** `quality` 1 to 100, for JPEG. */
  encode(picture: Picture, format: StillFormat, quality: number): Promise<Uint8Array>
  /** A linear colour in the plate's primaries as 8-bit sRGB; asked for after the plate is open. */
  swatch(colour: Rgb): Rgb
  /** One sentence about the viewing transform. */
  readonly viewing: string
  readonly version: string
}
