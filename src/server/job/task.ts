/** What a job's process is asked, and what it says. */
import type { ProblemDetail } from '../../core/index.js'
import type { CheckResult, Progress } from '../../engine/types.js'
import type { DeliveryFormat } from '../../media/index.js'
import type { Fitted } from '../fitted.js'
import type { Fault } from '../protocol.js'

/** Paths are absolute. */
export type Task = { readonly document: string } & (
  | ({ readonly kind: 'fit' } & Noted)
  | ({ readonly kind: 'render'; readonly out: string; readonly format: DeliveryFormat } & Noted)
  | ({ readonly kind: 'check'; readonly rendered: string } & Noted)
  | ({ readonly kind: 'report'; readonly rendered: string; readonly out: string } & Noted)
  /** `fix`: what is sure is written into the document. */
  | { readonly kind: 'diagnose'; readonly targets: readonly string[]; readonly fix: boolean }
)

/** Whose answer says what it was made of. */
interface Noted {
  /** In which state the shot's files are. */
  readonly files: string
}

/** What was rendered, and the picture revision of the document then. */
export interface Rendered {
  readonly picture: string
  readonly out: string
}

/** What was found, and the picture revision of the document that it was checked against. */
export interface Checked {
  readonly picture: string
  readonly result: CheckResult
}

export interface Answers {
  readonly fit: Fitted
  readonly render: Rendered
  readonly check: Checked
  readonly report: Checked
  /** By `plate` and the elements' ids. */
  readonly diagnose: Readonly<Record<string, readonly Fault[]>>
}

export type Said =
  | { readonly progress: Progress }
  | { readonly done: Answers[keyof Answers] }
  | { readonly problem: ProblemDetail }
  | { readonly defect: string }
