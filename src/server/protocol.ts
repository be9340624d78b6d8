/**
 * What page and server say to each other: JSON but for pictures. The server does all the work; the page asks and shows.
 *
 *   GET    /?token=T                 sets the cookie of this server and goes to /
 *   GET    /api/folder               Folder
 *   PUT    /api/files                what was dropped together, a file or the pictures of a sequence: UploadHead in a line of JSON,
 *                                    then their bytes one after the other → Dropped
 *   GET    /api/media?path=P         MediaFacts of a file, or of a sequence by its pattern
 *   POST   /api/shot                 NewShotAsk → { path }
 *   GET    /api/shot?path=P          ShotState; the files are looked at anew
 *   POST   /api/shot/edit            EditAsk → ShotState
 *   POST   /api/shot/element         AddElementAsk → ShotState
 *   POST   /api/shot/undo, /redo     PathAsk → ShotState
 *   POST   /api/frame                FrameAsk → picture: three bytes a pixel, its size in the headers `x-width`, `x-height`;
 *                                    204 when the same page asked again before it was done
 *   POST   /api/places               PlacesAsk → Places: where elements, shapes and tracks lie on a frame, as the picture shows them
 *   POST   /api/values               ValuesAsk → Values
 *   GET    /api/crop?path=P&tell=I&role=plate|result    PNG
 *   POST   /api/job                  JobAsk → JobState
 *   DELETE /api/job?path=P           cancels; → JobState
 *   GET    /api/events?path=P        server-sent events: `shot` ShotState, `job` JobState, `folder` Folder
 *   GET    /files/P                  a file of the folder that a job made: a report, a render
 *
 * Paths are relative to the opened folder, with forward slashes. A failure is a `ProblemDetail` with status 400 (wrong use or
 * input), 403 (not allowed), 404, 409 (busy) or 500.
 */
import type { Readout } from '../colour/index.js'
import type { ProblemDetail } from '../core/index.js'
import type { Hand } from '../engine/hand.js'
import type { Stage, StagedElement, StagedFile } from '../engine/stage.js'
import type { LedgerRow, Progress, Tell, Undecided } from '../engine/types.js'
import type { DeliveryFormat } from '../media/index.js'
import type { Edit } from '../shot/command.js'
import type { Shot } from '../shot/schema.js'

export interface Folder {
  /** Of the folder itself, for its title. */
  readonly name: string
  readonly shots: readonly string[]
  /** Movies, stills, and sequences by their pattern (`soot/soot.####.exr`). */
  readonly media: readonly { readonly path: string; readonly kind: 'movie' | 'sequence' | 'still' }[]
  /** It holds more names than are listed. */
  readonly more: boolean
}

/** Names may hold `/`; several files lie in one folder. */
export type UploadHead = readonly { readonly name: string; readonly bytes: number }[]

export interface Dropped {
  /** What lies in the folder now, the new or the same that was there already: a file, or a sequence by its pattern. */
  readonly path: string
}

/** What says whether a file is rather a plate or an element. */
export interface MediaFacts {
  readonly kind: 'movie' | 'sequence' | 'still'
  readonly width: number
  readonly height: number
  readonly alpha: boolean
}

export interface NewShotAsk {
  readonly plate: string
  readonly elements: readonly string[]
}

export interface PathAsk {
  readonly path: string
}

export interface AddElementAsk extends PathAsk {
  readonly file: string
}

/** What a hand wants of an element on a frame: the server finds what that means for the document. */
export interface HandEdit extends Hand {
  readonly kind: 'hand'
  readonly element: string
  /** Frame of the shot on which it was done. */
  readonly number: number
}

/** A shape's outline as a hand draws it on a frame that is shown: the server finds where the document has it. */
export interface HandKey {
  readonly kind: 'handKey'
  readonly shape: string
  readonly number: number
  readonly points: readonly (readonly [number, number])[]
}

export type PageEdit = Edit | HandEdit | HandKey

export interface EditAsk extends PathAsk {
  readonly edit: PageEdit
}

/** The shot as it stands, and what is known of it. */
export interface ShotState {
  readonly path: string
  /** Changes with every change of the document. */
  readonly revision: string
  /** Changes when a file of the shot is made anew under its name. */
  readonly files: string
  readonly shot: Shot
  readonly canUndo: boolean
  readonly canRedo: boolean
  readonly plate: PlateState
  readonly elements: readonly ElementState[]
  /** Why the document cannot be read any more: somebody else has broken it. What is shown is its last state. */
  readonly problem?: ProblemDetail
  /** Why undo will not outlive the server. */
  readonly notKept?: ProblemDetail
  /** Of the document as it stands; with results and verdicts while its last check stands. */
  readonly ledger: readonly LedgerLine[]
  readonly check: CheckState | undefined
  /** What its last fit depends on has changed since: its numbers are those of before. */
  readonly staleFit: boolean
  /** Renders and reports that lie beside the document, newest first. */
  readonly made: readonly {
    readonly path: string
    readonly kind: 'render' | 'report'
    /** Of a render: the document has changed since in something that a picture depends on. Absent where it was made elsewhere. */
    readonly older?: boolean
  }[]
  readonly job: JobState | undefined
}

/** A row of the ledger; what of it is a colour, as it is seen: sRGB, 0 to 255. */
export interface LedgerLine extends LedgerRow {
  readonly swatches?: Partial<Record<'plate' | 'source' | 'treatment' | 'result', readonly number[]>>
}

export interface CheckState {
  /** The file that was checked. */
  readonly rendered: string
  /** The document has not changed in anything that a picture depends on, neither since the check nor since the render. */
  readonly stands: boolean
  /** It has changed since the render, as far as that is known. */
  readonly older: boolean
  readonly tells: readonly Tell[]
  readonly undecided: readonly Undecided[]
}

/** A file of the shot as it stands on the stage, and what was found in it. */
type Told<T extends StagedFile> = Omit<T, 'problem'> & {
  /** Faults that were found unasked; undefined while it is still looked at. */
  readonly faults: readonly Fault[] | undefined
  /** Why it cannot be opened. */
  readonly problem?: ProblemDetail
}
export type PlateState = Told<Stage['plate']>
export type ElementState = Told<StagedElement>

/** A fault of a file in one sentence, what to do about it, and what was done about it. */
export interface Fault {
  readonly code: string
  readonly sentence: string
  readonly remedy: string
  /** What was written into the document because of it, and the edit that takes it back. */
  readonly done?: { readonly what: string; readonly undo: Edit }
  /** What could be written, where it does not stand. */
  readonly offer?: { readonly what: string; readonly edit: Edit }
}

export type FrameView = 'plate' | 'plain' | 'result'

export interface FrameAsk extends PathAsk {
  /** Of the shot, 0-based. */
  readonly number: number
  readonly view: FrameView
  /** Wanted width of the picture, px; never more than the plate's. */
  readonly width: number
  /** Exposure for looking, in stops; nothing keeps it. */
  readonly stops: number
  /** A name that the page gives itself: it waits for one picture at a time, and what it asked before is given up. */
  readonly page?: string
  /** An edit that is not made yet: what a hand that drags would see. */
  readonly edit?: PageEdit
}

export interface PlacesAsk extends PathAsk {
  readonly number: number
  /** As that of a frame. */
  readonly edit?: PageEdit
}

export interface ValuesAsk extends PathAsk {
  readonly number: number
  /** Plate pixels. */
  readonly x: number
  readonly y: number
  readonly width: number
}

/** Under the pointer, of each view. */
export type Values = Readonly<Record<FrameView, Readout>>

export type JobAsk = PathAsk &
  (
    | { readonly kind: 'fit' }
    | { readonly kind: 'render'; readonly format: DeliveryFormat }
    | { readonly kind: 'check' | 'report'; readonly rendered: string }
  )

export interface JobState {
  readonly kind: JobAsk['kind'] | 'diagnose'
  readonly state: 'running' | 'stopping' | 'done' | 'cancelled' | 'failed'
  readonly progress?: Progress
  /** The file that it makes or made. */
  readonly out?: string
  readonly problem?: ProblemDetail
}
