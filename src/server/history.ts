/**
 * Undo and redo of a document that outlive the server: its states, oldest first, in one file of the cache's folder, written whole
 * after every edit. Edits from elsewhere (the command line) become steps of their own. Where the file cannot be written they last
 * as long as the server.
 */
import { createHash } from 'node:crypto'
import { readFile } from 'node:fs/promises'
import { join } from 'node:path'
import { Problem, type ProblemDetail } from '../core/index.js'
import { writeWhole } from '../report/whole.js'
import { stateFolder } from './place.js'

/** Steps that are kept, and what they may take together, in letters. */
const MOST_STEPS = 200
const MOST_TEXT = 8e6

const NOT_KEPT = 'Undo works until the server ends, but its file cannot be written'

/** What is kept beside the steps: what was found out about the shot. */
export interface Notes {
  readonly check?: unknown
  /** Renders by their name beside the document, each with the picture revision (`revision.ts`) that it was made of. */
  readonly renders?: Readonly<Record<string, string>>
  readonly fit?: unknown
  readonly faults?: Readonly<Record<string, unknown>>
}

interface Kept {
  readonly texts: readonly string[]
  readonly at: number
  readonly notes: Notes
}

export class History {
  readonly #file: string
  #kept: Kept
  #problem: ProblemDetail | undefined

  private constructor(file: string, kept: Kept) {
    this.#file = file
    this.#kept = kept
  }

  /** @param path the document's real path; @param now its text */
  static async open(path: string, now: string): Promise<History> {
    const file = fileOf(path)
    const history = new History(file, (await read(file)) ?? { texts: [now], at: 0, notes: {} })
    await history.take(now)
    return history
  }

  get canUndo(): boolean {
    return this.#kept.at > 0
  }

  get canRedo(): boolean {
    return this.#kept.at < this.#kept.texts.length - 1
  }

  /** Why it could not be written last. */
  get problem(): ProblemDetail | undefined {
    return this.#problem
  }

  get notes(): Notes {
    return this.#kept.notes
  }

  /** The state before or after the present one. */
  beside(step: -1 | 1): string | undefined {
    return this.#kept.texts[this.#kept.at + step]
  }

  /** The document reads so now: a step of its own, unless it is the present state or the one beside it that was gone to. */
  async take(text: string, gone?: -1 | 1): Promise<void> {
    const { texts, at } = this.#kept
    if (gone !== undefined && texts[at + gone] === text) return this.#keep({ ...this.#kept, at: at + gone })
    if (texts[at] === text) return
    const steps = [...texts.slice(0, at + 1), text].slice(-MOST_STEPS)
    while (steps.length > 2 && steps.reduce((sum, t) => sum + t.length, 0) > MOST_TEXT) steps.shift()
    await this.#keep({ ...this.#kept, texts: steps, at: steps.length - 1 })
  }

  async note(notes: Notes): Promise<void> {
    await this.#keep({ ...this.#kept, notes: { ...this.#kept.notes, ...notes } })
  }

  async #keep(kept: Kept): Promise<void> {
    this.#kept = kept
    try {
      await writeWhole(this.#file, Buffer.from(JSON.stringify(kept)), 'PLATEFIT_STATE')
      this.#problem = undefined
    } catch (e) {
      if (!(e instanceof Problem)) throw e
      // The document is written by then: what was done stands, and whoever waits for it is told so.
      this.#problem = { ...e.detail, code: 'server.undo-not-kept', what: NOT_KEPT }
    }
  }
}

/** Every state of a document that can still be gone back to. @param path its real path */
export async function statesOf(path: string): Promise<readonly string[]> {
  return (await read(fileOf(path)))?.texts ?? []
}

function fileOf(path: string): string {
  const name = createHash('sha256').update(path).digest('hex').slice(0, 32)
  return join(stateFolder(), 'pages', `${name}.json`)
}

async function read(file: string): Promise<Kept | undefined> {
  try {
    const { texts, at, notes } = JSON.parse(await readFile(file, 'utf8')) as Kept
    if (texts.every((t) => typeof t === 'string') && texts[at] !== undefined) return { texts, at, notes }
  } catch {
    // None yet, or one that a power cut damaged: the document itself is whole.
  }
  return undefined
}
