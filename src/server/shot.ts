/** A shot that is open on the page: its document, files, pictures, and the one job that works on it. */
import { join } from 'node:path'
import { Problem } from '../core/index.js'
import { keyByHand, viewOf } from '../engine/carry/seen.js'
import { placeByHand } from '../engine/hand.js'
import { addElement } from '../engine/index.js'
import { ledgerRows } from '../engine/ledger.js'
import { type Places, placeable, placesAt } from '../engine/places.js'
import type { Studio } from '../engine/preview/studio.js'
import type { CheckResult, Progress } from '../engine/types.js'
import { applyEdit, type Edit, elementOf, parseShot, type Shot } from '../shot/index.js'
import { shapeOf } from '../shot/shapeEdit.js'
import { LiveDocument } from './document.js'
import { detailOf, sayDefect } from './failure.js'
import { Files } from './files.js'
import { type Fitted, isStale } from './fitted.js'
import { type Started, startJob } from './job/start.js'
import type { Answers, Checked, Task } from './job/task.js'
import { Looks } from './looks.js'
import { type Made, madeOf, nextRender, nextReport } from './made.js'
import { Pictures } from './pictures.js'
import type { CheckState, FrameAsk, JobAsk, JobState, PageEdit, ShotState, ValuesAsk } from './protocol.js'
import { isOlder, noteRender } from './renders.js'
import { pictureRevisionOf } from './revision.js'
import type { Room } from './room.js'
import { withSwatches } from './swatches.js'

type Tell = (what: 'shot' | 'job') => void

export class OpenShot {
  readonly document: LiveDocument
  readonly #room: Room
  readonly #pictures: Pictures
  readonly #tell: Tell
  #job: { state: JobState; readonly started: Started<Task['kind']> } | undefined
  readonly #files: Files
  readonly #looks: Looks

  private constructor(document: LiveDocument, room: Room, pictures: Pictures, tell: Tell) {
    this.document = document
    this.#room = room
    this.#tell = tell
    this.#pictures = pictures
    this.#files = new Files(document.path, room, () => void this.refresh())
    this.#looks = new Looks(document, this.#files, () => tell('shot'))
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
    const stage = await this.#files.stage(shot)
    const check = this.#check()
    const picture = this.#pictureRevision()
    const older = check !== undefined && isOlder(document, check.result.rendered, picture) === true
    const stands = check !== undefined && !older && check.picture === picture
    const fit = document.notes.fit as Fitted | undefined
    const made = await madeOf(document.path, document.folder)
    return {
      path: this.path,
      revision: document.revision,
      files: this.#files.revision,
      shot,
      canUndo: document.canUndo,
      canRedo: document.canRedo,
      ...(document.problem === undefined ? {} : { problem: document.problem }),
      ...(document.notKept === undefined ? {} : { notKept: document.notKept }),
      plate: { ...told(stage.plate), faults: this.#looks.faults('plate', shot) },
      elements: stage.elements.map((e) => ({ ...told(e), faults: this.#looks.faults(e.id, shot) })),
      ledger: withSwatches(stands ? check.result.ledger : ledgerRows(shot, [], [], []), this.#files.plate),
      check: check && {
        ...seen(check.result, shot),
        rendered: this.#room.relative(check.result.rendered),
        stands,
        older,
      },
      staleFit: fit !== undefined && isStale(fit, shot, this.#files.revision),
      made: made.map((m) => this.#made(m, picture)),
      job: this.job,
    }
  }

  async edit(edit: PageEdit): Promise<void> {
    return this.document.edit(await this.#meant(edit))
  }

  /** The document as an edit would have it. */
  async with(edit: PageEdit | undefined): Promise<Shot> {
    const { shot, path } = this.document
    return edit === undefined ? shot : parseShot(applyEdit(shot, await this.#meant(edit)), path)
  }

  /** What a hand on the picture means for the document. @throws Problem as `placeByHand`, `keyByHand` */
  async #meant(edit: PageEdit): Promise<Edit> {
    if (edit.kind !== 'hand' && edit.kind !== 'handKey') return edit
    const { shot } = this.document
    const on = await this.#files.ground(shot)
    if (edit.kind === 'handKey') {
      const { shape, number, points } = edit
      if (on === undefined) return { kind: 'shape', shape }
      const { tracks, plate } = on.ground
      return keyByHand(viewOf(shot, shapeOf(shot, shape), tracks, plate), shape, number, points)
    }
    const { kind: _, element, number, ...hand } = edit
    const picture = on?.pictures[element]
    const base = { kind: 'place', element } as const
    if (on === undefined || picture === undefined) return base
    return { ...base, ...placeByHand(elementOf(shot, element), picture, number, on.ground, hand) }
  }

  /** Where things lie on a frame. */
  async places(number: number, shot: Shot): Promise<Places> {
    const on = await this.#files.ground(shot)
    return on === undefined
      ? { elements: [], shapes: [], tracks: [] }
      : placesAt(number, on.ground, on.pictures)
  }

  /** @param file relative to the opened folder */
  async add(file: string): Promise<void> {
    const full = await this.#room.source(file)
    await this.document.change(async (path) => (await addElement(path, full)).shot)
    void this.#looks.look(true)
  }

  async frame(ask: Omit<FrameAsk, 'path' | 'edit'>, shot: Shot) {
    await this.#files.reach(shot)
    const seen = placeable(shot, await this.places(ask.number, shot))
    return this.#pictures.frame({ shot: seen, stamps: this.#files.stamps }, ask)
  }

  async values(ask: Omit<ValuesAsk, 'path'>) {
    const { shot } = this.document
    await this.#files.reach(shot)
    const seen = placeable(shot, await this.places(ask.number, shot))
    return this.#pictures.values({ shot: seen, stamps: this.#files.stamps }, ask)
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
    await this.#again()
    const { path: document, folder } = this.document
    const { revision: files } = this.#files
    switch (ask.kind) {
      case 'fit':
        return this.#run({ kind: 'fit', document, files })
      case 'render': {
        const out = await nextRender(document, folder, ask.format)
        return this.#run({ kind: 'render', document, files, out, format: ask.format }, out)
      }
      case 'check':
        return this.#run({ kind: 'check', document, files, rendered: await this.#room.source(ask.rendered) })
      case 'report': {
        const rendered = await this.#room.source(ask.rendered)
        const out = await nextReport(document, folder, rendered)
        return this.#run({ kind: 'report', document, files, rendered, out }, out)
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
    await this.#looks.look(true)
    await this.start({ path: '', kind: 'fit' }).catch(() => {})
  }

  /** Looks whether the files are still the same, and into those that are not. */
  async refresh(): Promise<void> {
    await this.#again().then(() => this.#looks.look(false), sayDefect)
  }

  async close(): Promise<void> {
    this.cancel()
    this.#files.close()
    this.#looks.stop()
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
    if ('out' in answer) await noteRender(this.document, answer)
    else await this.document.note('left' in answer ? { fit: answer } : { check: answer })
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

  async #again(): Promise<void> {
    const before = this.#files.revision
    await this.#files.again(this.document.shot)
    if (this.#files.revision !== before) this.#tell('shot')
  }

  /** Of all that a picture depends on. */
  #pictureRevision(): string {
    return pictureRevisionOf(this.document.shot, this.#files.revision)
  }

  #check(): Checked | undefined {
    return this.document.notes.check as Checked | undefined
  }

  #made({ name, kind }: Made, picture: string): ShotState['made'][number] {
    const file = join(this.document.folder, name)
    const older = kind === 'render' ? isOlder(this.document, file, picture) : undefined
    return { path: this.#room.relative(file), kind, ...(older === undefined ? {} : { older }) }
  }
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
