/** Looks into a shot's files that nobody asked for: what `diagnose` finds in each, until it is another file. */
import type { Shot } from '../shot/index.js'
import type { LiveDocument } from './document.js'
import { sayDefect } from './failure.js'
import { faultsNow } from './faults.js'
import type { Files } from './files.js'
import { type Started, startJob } from './job/start.js'
import type { Task } from './job/task.js'
import type { Fault } from './protocol.js'

/** What was found in a file, and which file that was. */
interface Looked {
  readonly file: string
  readonly stamp: string | undefined
  readonly faults: readonly Fault[]
}

export class Looks {
  readonly #document: LiveDocument
  readonly #files: Files
  readonly #changed: () => void
  readonly #looking = new Set<string>()
  readonly #started = new Set<Started<'diagnose'>>()

  /** @param changed is called when something was found */
  constructor(document: LiveDocument, files: Files, changed: () => void) {
    this.#document = document
    this.#files = files
    this.#changed = changed
  }

  /** Looks unasked at the files that nobody has looked at yet; waits for no one, and gives way to nobody's job. */
  async look(fix: boolean): Promise<void> {
    const { path: document, shot } = this.#document
    let targets: readonly string[] = []
    let done = false
    try {
      await this.#files.reach(shot)
      const { stamps } = this.#files
      targets = this.#unseen(shot)
      if (targets.length === 0) return
      for (const id of targets) this.#looking.add(id)
      const found = await this.#diagnosed({ kind: 'diagnose', document, targets, fix })
      const files = Object.entries(found).map(([id, faults]) => {
        const file = fileOf(shot, id) ?? ''
        return [id, { file, stamp: stamps[file], faults } satisfies Looked] as const
      })
      await this.#document.note({ faults: { ...this.#document.notes.faults, ...Object.fromEntries(files) } })
      await this.#document.reread()
      done = true
    } catch (e) {
      sayDefect(e)
    }
    for (const id of targets) this.#looking.delete(id)
    this.#changed()
    // One of them may have been made anew meanwhile.
    if (done) void this.look(fix)
  }

  async #diagnosed(task: Extract<Task, { kind: 'diagnose' }>) {
    const started = startJob<'diagnose'>(task, () => {})
    this.#started.add(started)
    try {
      return await started.done
    } finally {
      this.#started.delete(started)
    }
  }

  #unseen(shot: Shot): string[] {
    return ['plate', ...shot.elements.map((e) => e.id)].filter(
      (id) => !this.#looking.has(id) && this.faults(id, shot) === undefined,
    )
  }

  /** Of the file that the document names now, as it lies there now. */
  faults(id: string, shot: Shot): readonly Fault[] | undefined {
    const known = this.#document.notes.faults?.[id] as Looked | undefined
    const same = known?.file === fileOf(shot, id) && known?.stamp === this.#files.stamps[known?.file ?? '']
    return known !== undefined && same ? faultsNow(known.faults, shot) : undefined
  }

  stop(): void {
    for (const look of this.#started) look.stop()
  }
}

function fileOf(shot: Shot, id: string): string | undefined {
  return id === 'plate' ? shot.plate.file : shot.elements.find((e) => e.id === id)?.file
}
