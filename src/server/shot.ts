/** A shot that is open on the page: its document, files, pictures, and the one job that works on it. */
import { join } from 'node:path'
import { Problem } from '../core/index.js'
import { addElement, type FilesFound, findFiles, type Stage, stageOf } from '../engine/index.js'
import { ledgerRows } from '../engine/ledger.js'
import type { Studio } from '../engine/preview/studio.js'
import type { CheckResult, Progress } from '../engine/types.js'
import type { Edit, Shot } from '../shot/index.js'
import { LiveDocument } from './document.js'
import { detailOf } from './failure.js'
import { faultsNow } from './faults.js'
import { type Started, startJob } from './job/start.js'
import type { Answers, Checked, Task } from './job/task.js'
import { type Made, madeOf, nextRender, nextReport } from './made.js'
import { Pictures } from './pictures.js'
import type { CheckState, Fault, FrameAsk, JobAsk, JobState, ShotState, ValuesAsk } from './protocol.js'
import { isOlder, noteRender } from './renders.js'
import { filesNamed, type Room } from './room.js'
import { withSwatches } from './swatches.js'

type Tell = (what: 'shot' | 'job') => void

export class OpenShot {
  readonly document: LiveDocument
  readonly #room: Room
  readonly #pictures: Pictures
  readonly #tell: Tell
  #job: { state: JobState; readonly started: Started<Task['kind']> } | undefined
  readonly #looking = new Set<string>()
  readonly #looks = new Set<Started<'diagnose'>>()
  #reached: string | undefined
  #files: { readonly key: string; readonly found: FilesFound } | undefined

  private constructor(document: LiveDocument, room: Room, pictures: Pictures, tell: Tell) {
    this.document = document
    this.#room = room
    this.#tell = tell
    this.#pictures = pictures
  }

  /** @param studio of all shots; @param tell is called after every change of the shot or its job */
  static async open(path: string, room: Room, studio: Studio, tell: Tell): Promise<OpenShot> {
    const document = await LiveDocument.open(path, () => tell('shot'))
    return new OpenShot(document, room, new Pictures(document.folder, studio), tell)
  }

  /** Relative to the opened folder. */
  get path(): string {
    return this.#room.relative(this.document.path)
  }

  get job(): JobState | undefined {
    return this.#job?.state
  }

  async state(): Promise<ShotState> {
    const { document } = this
    const { shot } = document
    const stage = await this.#stage(shot)
    const check = this.#check()
    const older = check !== undefined && isOlder(document, check.result.rendered) === true
    const stands = check !== undefined && !older && check.picture === document.pictureRevision
    const made = await madeOf(document.path, document.folder)
    return {
      path: this.path,
      revision: document.revision,
      shot,
      canUndo: document.canUndo,
      canRedo: document.canRedo,
      ...(document.problem === undefined ? {} : { problem: document.problem }),
      ...(document.notKept === undefined ? {} : { notKept: document.notKept }),
      plate: { ...told(stage.plate), faults: this.#faults('plate', shot) },
      elements: stage.elements.map((e) => ({ ...told(e), faults: this.#faults(e.id, shot) })),
      ledger: withSwatches(stands ? check.result.ledger : ledgerRows(shot, [], [], []), this.#plate()),
      check: check && {
        ...seen(check.result, shot),
        rendered: this.#room.relative(check.result.rendered),
        stands,
        older,
      },
      made: made.map((m) => this.#made(m)),
      job: this.job,
    }
  }

  edit(edit: Edit): Promise<void> {
    return this.document.edit(edit)
  }

  /** @param file relative to the opened folder */
  async add(file: string): Promise<void> {
    const full = await this.#room.source(file)
    await this.document.change(async (path) => (await addElement(path, full)).shot)
    void this.look(true)
  }

  /** @param shot as an edit that is not made yet would have it */
  async frame(ask: Omit<FrameAsk, 'path' | 'edit'>, shot: Shot = this.document.shot) {
    await this.#reach(shot)
    return this.#pictures.frame(shot, ask)
  }

  async values(ask: Omit<ValuesAsk, 'path'>) {
    await this.#reach(this.document.shot)
    return this.#pictures.values(this.document.shot, ask)
  }

  /** Nobody looks at it: its files are closed until somebody does. */
  rest(): Promise<void> {
    return this.#pictures.rest()
  }

  async crop(tell: number, role: 'plate' | 'result'): Promise<Uint8Array | undefined> {
    const check = this.#check()
    return check && this.#pictures.crop(this.document.shot, check.result, tell, role)
  }

  /** Starts a job. @throws Problem `server.busy` while another one runs */
  async start(ask: JobAsk): Promise<JobState> {
    await this.#room.checkShot(this.document.path, this.document.shot)
    const { path: document, folder } = this.document
    switch (ask.kind) {
      case 'fit':
        return this.#run({ kind: 'fit', document })
      case 'render': {
        const out = await nextRender(document, folder, ask.format)
        return this.#run({ kind: 'render', document, out, format: ask.format }, out)
      }
      case 'check':
        return this.#run({ kind: 'check', document, rendered: await this.#room.source(ask.rendered) })
      case 'report': {
        const rendered = await this.#room.source(ask.rendered)
        const out = await nextReport(document, folder, rendered)
        return this.#run({ kind: 'report', document, rendered, out }, out)
      }
    }
  }

  cancel(): JobState | undefined {
    const job = this.#job
    if (job?.state.state !== 'running') return job?.state
    job.started.stop()
    this.#show({ ...job.state, state: 'stopping' })
    return this.job
  }

  /** A new shot: its files are looked at, what is sure is written, and it is fitted once. */
  async begin(): Promise<void> {
    await this.look(true)
    await this.start({ path: '', kind: 'fit' }).catch(() => {})
  }

  /** Looks unasked at the files that nobody has looked at yet; waits for no one, and gives way to nobody's job. */
  async look(fix: boolean): Promise<void> {
    const { path: document, shot } = this.document
    const targets = this.#unseen(shot)
    if (targets.length === 0) return
    for (const id of targets) this.#looking.add(id)
    try {
      await this.#room.checkShot(document, shot)
      const found = await this.#diagnosed({ kind: 'diagnose', document, targets, fix })
      const files = Object.entries(found).map(
        ([id, faults]) => [id, { file: fileOf(shot, id), faults }] as const,
      )
      await this.document.note({ faults: { ...this.document.notes.faults, ...Object.fromEntries(files) } })
      await this.document.reread()
    } catch (e) {
      // A file that cannot be opened is told where it stands; a look that fails besides hinders nobody.
      if (!(e instanceof Problem)) process.stderr.write(`platefit: ${e instanceof Error ? e.stack : e}\n`)
    }
    for (const id of targets) this.#looking.delete(id)
    this.#tell('shot')
  }

  async #diagnosed(task: Extract<Task, { kind: 'diagnose' }>) {
    const started = startJob<'diagnose'>(task, () => {})
    this.#looks.add(started)
    try {
      return await started.done
    } finally {
      this.#looks.delete(started)
    }
  }

  #unseen(shot: Shot): string[] {
    return ['plate', ...shot.elements.map((e) => e.id)].filter(
      (id) => !this.#looking.has(id) && this.#faults(id, shot) === undefined,
    )
  }

  /** Of the file that the document names now. */
  #faults(id: string, shot: Shot): readonly Fault[] | undefined {
    const known = this.document.notes.faults?.[id] as { file: string; faults: readonly Fault[] } | undefined
    return known !== undefined && known.file === fileOf(shot, id) ? faultsNow(known.faults, shot) : undefined
  }

  async close(): Promise<void> {
    this.cancel()
    for (const look of this.#looks) look.stop()
    await this.#job?.started.done.catch(() => {})
    await this.#pictures.close()
    await this.document.close()
  }

  #run<K extends Task['kind']>(task: Extract<Task, { kind: K }>, out?: string): JobState {
    if (this.job?.state === 'running' || this.job?.state === 'stopping') {
      throw new Problem({
        code: 'server.busy',
        what: `A ${this.job.kind} is at work on this shot`,
        remedy: 'Wait until it is done, or cancel it.',
      })
    }
    const started = startJob<K>(task, (progress) => this.#progress(progress))
    const state: JobState = {
      kind: task.kind,
      state: 'running',
      ...(out === undefined ? {} : { out: this.#room.relative(out) }),
    }
    this.#job = { state, started }
    this.#tell('job')
    started.done
      .then((answer) => this.#finish(answer as Answers[JobAsk['kind']]))
      .catch((e: unknown) => {
        const problem = detailOf(e)
        this.#show({
          ...state,
          ...(problem.code === 'engine.stopped' ? { state: 'cancelled' } : { state: 'failed', problem }),
        })
      })
    return state
  }

  async #finish(answer: Answers[JobAsk['kind']]): Promise<void> {
    if (answer !== undefined)
      await ('out' in answer ? noteRender(this.document, answer) : this.document.note({ check: answer }))
    await this.document.reread()
    if (this.job !== undefined) {
      const { progress: _, ...state } = this.job
      this.#show({ ...state, state: 'done' })
    }
    this.#tell('shot')
  }

  #progress(progress: Progress): void {
    if (this.#job !== undefined) this.#show({ ...this.#job.state, progress })
  }

  #show(state: JobState): void {
    if (this.#job !== undefined) this.#job.state = state
    this.#tell('job')
  }

  /** Looks once at the same names: every picture of a long sequence takes longer than a frame. */
  async #reach(shot: Shot): Promise<void> {
    const names = filesNamed(shot).join('\n')
    if (names === this.#reached) return
    await this.#room.checkShot(this.document.path, shot)
    this.#reached = names
  }

  #check(): Checked | undefined {
    return this.document.notes.check as Checked | undefined
  }

  #made({ name, kind }: Made): ShotState['made'][number] {
    const file = join(this.document.folder, name)
    const older = kind === 'render' ? isOlder(this.document, file) : undefined
    return { path: this.#room.relative(file), kind, ...(older === undefined ? {} : { older }) }
  }

  #plate() {
    const found = this.#files?.found.get('plate')
    return found instanceof Problem ? undefined : found
  }

  /** Files are opened again only where the document says something else of them. */
  async #stage(shot: Shot): Promise<Stage> {
    const key = JSON.stringify(
      [shot.plate, shot.elements].flat().map(({ treatments: _, ...file }) => fileKey(file)),
    )
    if (this.#files?.key !== key) this.#files = { key, found: await this.#find(shot) }
    return stageOf(shot, this.#files.found)
  }

  async #find(shot: Shot): Promise<FilesFound> {
    try {
      await this.#room.checkShot(this.document.path, shot)
    } catch (e) {
      if (!(e instanceof Problem)) throw e
      return new Map(['plate', ...shot.elements.map((x) => x.id)].map((id) => [id, e]))
    }
    return findFiles(shot, this.document.folder)
  }
}

/** What of a file's record says how it is opened. */
function fileKey(file: Record<string, unknown>): unknown[] {
  return ['id', 'file', 'curve', 'primaries', 'matrix', 'range', 'rate', 'layer', 'still'].map((k) => file[k])
}

function fileOf(shot: Shot, id: string): string | undefined {
  return id === 'plate' ? shot.plate.file : shot.elements.find((e) => e.id === id)?.file
}

function told<T extends { readonly problem?: Problem }>({ problem, ...line }: T) {
  return { ...line, ...(problem === undefined ? {} : { problem: problem.detail }) }
}

/** A tell that was meant or is meant no more since the check. */
function seen({ tells, undecided }: CheckResult, shot: Shot): Pick<CheckState, 'tells' | 'undecided'> {
  const meant = (t: CheckResult['tells'][number]) =>
    shot.meant.some((m) => m.tell === t.tell && m.element === t.element)
  return { tells: tells.map((t) => ({ ...t, meant: meant(t) })), undecided }
}
