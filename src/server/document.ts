/** The document of an opened shot: read, edited, undone, and watched for edits from elsewhere. */
import { type FSWatcher, watch } from 'node:fs'
import { basename, dirname } from 'node:path'
import { Problem, type ProblemDetail } from '../core/index.js'
import { editShot, loadShot } from '../engine/document.js'
import { applyEdit, type Edit, parseShot, type Shot, shotText } from '../shot/index.js'
import { History, type Notes } from './history.js'
import { revisionOf } from './revision.js'

/** An editor writes a file in several steps: it is read when it has been quiet for so long. */
const QUIET_MS = 40

export class LiveDocument {
  /** Absolute, symbolic links followed. */
  readonly path: string
  readonly #history: History
  readonly #changed: () => void
  readonly #watcher: FSWatcher
  #shot: Shot
  #text: string
  #problem: ProblemDetail | undefined
  /** Edits take turns. */
  #busy: Promise<unknown> = Promise.resolve()

  private constructor(path: string, shot: Shot, history: History, changed: () => void) {
    this.path = path
    this.#shot = shot
    this.#text = shotText(shot)
    this.#history = history
    this.#changed = changed
    let quiet: NodeJS.Timeout | undefined
    this.#watcher = watch(dirname(path), (_, name) => {
      if (name !== null && name !== basename(path)) return
      clearTimeout(quiet)
      quiet = setTimeout(() => void this.reread(), QUIET_MS)
    })
    this.#watcher.on('error', () => {})
  }

  /** @param changed is called after every change, from here or from elsewhere; @throws Problem as `loadShot` */
  static async open(path: string, changed: () => void): Promise<LiveDocument> {
    const { shot, path: real } = await loadShot(path)
    const history = await History.open(real, shotText(shot))
    return new LiveDocument(real, shot, history, changed)
  }

  get shot(): Shot {
    return this.#shot
  }

  /** Why it cannot be read any more; `shot` is its last state. */
  get problem(): ProblemDetail | undefined {
    return this.#problem
  }

  get canUndo(): boolean {
    return this.#history.canUndo
  }

  get canRedo(): boolean {
    return this.#history.canRedo
  }

  /** Why undo will not outlive the server. */
  get notKept(): ProblemDetail | undefined {
    return this.#history.problem
  }

  get notes(): Notes {
    return this.#history.notes
  }

  get folder(): string {
    return dirname(this.path)
  }

  get revision(): string {
    return revisionOf(this.#shot)
  }

  note(notes: Notes): Promise<void> {
    return this.#inTurn(() => this.#history.note(notes))
  }

  /** @throws Problem as `applyEdit`, `parseShot` and `editShot` */
  edit(edit: Edit): Promise<void> {
    return this.#alone((now) => applyEdit(now, edit))
  }

  /** Work that edits the document by itself and gives it as it then is. */
  change(work: (path: string) => Promise<Shot>): Promise<void> {
    return this.#inTurn(async () => {
      await this.#take()
      await this.#now(await work(this.path))
    })
  }

  /** @param step −1 undoes, 1 makes it again; @throws Problem `server.nothing-to-undo` */
  go(step: -1 | 1): Promise<void> {
    return this.#alone(() => {
      const text = this.#history.beside(step)
      if (text === undefined) {
        throw new Problem({
          code: 'server.nothing-to-undo',
          what: step < 0 ? 'There is nothing to undo' : 'There is nothing to redo',
        })
      }
      return parseShot(text, this.path)
    }, step)
  }

  /** Looks whether somebody else changed it. */
  reread(): Promise<void> {
    return this.#inTurn(() => this.#take())
  }

  async close(): Promise<void> {
    this.#watcher.close()
    await this.#busy
  }

  /** An edit under the document's lock. What somebody else wrote while this waited for it becomes a step first. */
  #alone(edit: (now: Shot) => Shot, gone?: -1 | 1): Promise<void> {
    return this.#inTurn(async () => {
      const shot = await editShot(this.path, async (now) => {
        await this.#now(now)
        return edit(now)
      })
      await this.#now(shot, gone)
    })
  }

  async #take(): Promise<void> {
    try {
      await this.#now((await loadShot(this.path)).shot)
    } catch (e) {
      if (!(e instanceof Problem)) throw e
      if (this.#problem?.what === e.detail.what) return
      this.#problem = e.detail
      this.#changed()
    }
  }

  async #now(shot: Shot, gone?: -1 | 1): Promise<void> {
    const text = shotText(shot)
    const same = text === this.#text && this.#problem === undefined
    this.#problem = undefined
    this.#shot = shot
    this.#text = text
    await this.#history.take(text, gone)
    if (!same) this.#changed()
  }

  #inTurn<T>(work: () => Promise<T>): Promise<T> {
    const done = this.#busy.then(work)
    this.#busy = done.catch(() => {})
    return done
  }
}
