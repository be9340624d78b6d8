import type {
  Chromaticities,
  ColourEncoding,
  EncodingTags,
  Evidence,
  NativeFrame,
  PixelLayout,
  Problem,
  Region,
} from '../core/index.js'

/** Frames a second as an exact fraction: 24000/1001. */
export interface Rate {
  readonly num: number
  readonly den: number
}

/** What a file is, as far as it can be known without judging its pixels. */
export interface SourceInfo {
  readonly path: string
  readonly kind: 'movie' | 'sequence' | 'still'
  readonly container: string
  readonly codec: string
  readonly profile?: string
  /** Size after rotation is baked in; what `frames()` gives. */
  readonly width: number
  readonly height: number
  /** Degrees clockwise that the file asked for and that decoding bakes in. */
  readonly rotation: 0 | 90 | 180 | 270
  /** Width over height of one pixel; kept, never resampled. */
  readonly pixelAspect: Rate
  readonly layout: PixelLayout
  readonly encoding: ColourEncoding
  /** Where each part of the encoding came from: a tag, an override, or a stated assumption. */
  readonly encodingEvidence: Readonly<Record<keyof EncodingTags, Evidence>>
  readonly rate: Rate
  readonly rateEvidence: Evidence
  /** Number of frames that `frames()` gives, after conforming. */
  readonly frameCount: number
  readonly durationSeconds: number
  /** Sequences: the number in the first file's name; movies: 0. */
  readonly firstNumber: number
  /** Start timecode as written in the file: `01:00:00:00`, `;` before the frames for drop-frame. */
  readonly timecode?: string
  readonly audio?: { readonly codec: string; readonly channels: number; readonly sampleRate: number }
  /** Frames of the conformed rate that repeat the one before, and source frames left out (variable rate). */
  readonly conform: { readonly repeated: readonly number[]; readonly dropped: readonly number[] }
  /** Tag conflicts and other things worth a sentence that do not stop the work. */
  readonly findings: readonly Problem[]
  /** Kind of its alpha; absent where neither the file nor its format says anything. */
  readonly alphaHint?: AlphaHint
  /** Which field comes first, where the pictures are interlaced (only when opened to inspect). */
  readonly fieldOrder?: 'top' | 'bottom'
  /** EXR: data window where it differs from the display window. */
  readonly dataWindow?: Region
  readonly exr?: ExrFacts
}

/** What a file, or else the standard or the habit of its format, says of its alpha. */
export interface AlphaHint {
  readonly kind: 'straight' | 'premultiplied'
  /** The file itself says so; else it is assumed. */
  readonly known: boolean
  readonly why: string
}

/** What an OpenEXR file holds. */
export interface ExrFacts {
  /** Name of the layer or channel that is read; `main` is that of the channels without a dot (empty where a layer is called so). */
  readonly layer: string
  /** Names that `layer` can be. */
  readonly layers: readonly string[]
  readonly parts: readonly {
    readonly name?: string
    readonly compression: string
    readonly tiled: boolean
    readonly channels: readonly { readonly name: string; readonly type: string; readonly step?: string }[]
    readonly dataWindow: Region
    readonly displayWindow: Region
    readonly chromaticities?: Chromaticities
  }[]
}

export interface OpenOptions {
  /** Replaces what the file says or leaves open. */
  readonly encoding?: Partial<EncodingTags>
  /** Where what is given in `encoding` and as `rate` comes from; it counts as set by hand where nothing is said. */
  readonly evidence?: Readonly<Partial<Record<keyof EncodingTags | 'rate', Evidence>>>
  /** True frame rate where the file lies (sequences carry none: 24 is assumed). */
  readonly rate?: Rate
  /** OpenEXR: layer, channel or part to read, as `SourceInfo.exr.layers` names them; the main layer when absent. */
  readonly layer?: string
  /** Only this one picture, whatever stands beside a numbered name. */
  readonly still?: boolean
  /** Threads of a movie's decoder, for callers that open many files at once. Default: the machine's cores. */
  readonly threads?: number
  /**
   * For a look at the file and no work with it: interlaced pictures, an end cut off, and numbers or sizes of a sequence that
   * do not agree become findings instead of refusals.
   */
  readonly inspect?: boolean
}

/** Gives memory for one frame's samples: at least so many bytes, at a multiple of 4 of its buffer. */
export type FrameRoom = (bytes: number) => Uint8Array

/** What a file or sequence holds, told from all others. */
export interface Content {
  /** Alike for the same content, wherever it lies and whatever it is called. */
  readonly id: string
  /** Whether the file (of a sequence the one of this frame, or else every one) is still what it was when its content was told. */
  unchanged(frame?: number): Promise<boolean>
}

/** An opened file or sequence. Frames stream: memory does not grow with length. */
export interface Source {
  readonly info: SourceInfo
  /** Told only where something is kept by it; reading files does without. */
  readonly content?: Content
  /**
   * Frames in order from `first` (0-based, conformed) in the file's own samples. Each frame's arrays are its own (safe to
   * keep or to change). NaN and infinity are left as they are. Frames that the codec could not decode throw
   * `media.damaged-frame`. `room` is asked for their memory where the codec's samples can be copied as they lie; other
   * frames come in memory of their own.
   */
  frames(first?: number, count?: number, room?: FrameRoom): AsyncGenerator<NativeFrame, void, undefined>
  /** Frames that the codec must decode to give this one, itself included: 1 where each stands alone. */
  reach(frame: number): number
  close(): Promise<void>
}

export type DeliveryFormat =
  | 'prores-422-hq'
  | 'prores-4444'
  | 'dnxhr-hqx'
  | 'h264-preview'
  | 'exr-half'
  | 'png-16'

export interface DeliverySpec {
  readonly format: DeliveryFormat
  readonly width: number
  readonly height: number
  readonly rate: Rate
  /** Tags to write; the frames given must already be coded so. */
  readonly encoding: ColourEncoding
  readonly pixelAspect?: Rate
  /** Sequences: number of the first file. */
  readonly firstNumber?: number
  readonly timecode?: string
  /** Files and sequences that the delivery is made from: none of them may be replaced by it. */
  readonly inputs?: readonly string[]
  /** EXR: the frames carry alpha. */
  readonly alpha?: boolean
  /** Copies the audio of this file, cut to the frames written. */
  readonly audioFrom?: { readonly path: string; readonly startSeconds: number; readonly seconds: number }
}

/** How a delivery can be taken up again after it was broken off. */
export interface WriteOptions {
  /** Says everything that the bytes depend on: whole parts under the same key are kept, those of others removed. Absent: a new one every time. */
  readonly key?: string
  /** Frames that will be written. Sequences whose numbers do not meet can then be written under one name at once. */
  readonly count?: number
  /** Removes what an earlier writer left. */
  readonly fresh?: boolean
}

/** Takes frames of one layout and size; nothing stands under the final name before `finish` has returned. */
export interface Writer {
  readonly layout: PixelLayout
  /** What a person should know of the file so far: padding, missing tags, sound left out, samples no format holds. */
  readonly findings: readonly Problem[]
  /** Notes of the frames that an earlier writer of the same key left whole, in order: the next frame is the one after them. */
  readonly kept: readonly unknown[]
  /** The frame must not change until this has resolved. The note (plain JSON) comes back in `kept` when the work is taken up again. */
  write(frame: NativeFrame, note?: unknown): Promise<void>
  /** Puts the whole delivery under its name. An aborted signal breaks it off with its reason: call `keep` or `abort` then. */
  finish(signal?: AbortSignal): Promise<void>
  /** Removes everything written so far. Safe to call at any time, also after a failure. */
  abort(): Promise<void>
  /**
   * Ends, and leaves whole parts (segments of movies, files of sequences) to the next writer of the same key.
   * @returns how many frames those hold; with none everything is removed
   */
  keep(): Promise<number>
}
