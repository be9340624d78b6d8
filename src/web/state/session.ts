/** The opened folder, its shot as the server has it, and everything that is done to it. */
import type { ProblemDetail } from '../../core/index.js'
import type { Folder, JobAsk, JobState, ShotState } from '../../server/protocol.js'
import type { Edit } from '../../shot/command.js'
import { Away, api, Refused } from './api.js'
import { Store } from './store.js'
import { view } from './view.js'

interface Session {
  readonly folder: Folder | undefined
  readonly shot: ShotState | undefined
  /** The server answers. */
  readonly here: boolean
  readonly problem: ProblemDetail | undefined
  /** What is being brought into the folder. */
  readonly bringing: string | undefined
  /** Files chosen for a shot that is not there yet. */
  readonly plate: string | undefined
  readonly element: string | undefined
}

export const session = new Store<Session>({
  folder: undefined,
  shot: undefined,
  here: true,
  problem: undefined,
  bringing: undefined,
  plate: undefined,
  element: undefined,
})

const AGAIN_MS = 700
let events: EventSource | undefined

/** An element may have been made anew in another window: the server tells when it finds so. */
window.addEventListener('focus', () => {
  const { shot } = session.get()
  if (shot !== undefined) api.shot(shot.path).catch(() => {})
})

/** Opens the folder, and of it the shot that the address names, or the first one. */
export async function begin(): Promise<void> {
  await attempt(async () => {
    const folder = await api.folder()
    session.set({ folder, here: true })
    const named = decodeURIComponent(location.hash.slice(1))
    const path = folder.shots.includes(named) ? named : folder.shots[0]
    if (path === undefined) listen(undefined)
    else await openShot(path)
  })
}

export async function openShot(path: string): Promise<void> {
  await attempt(async () => {
    const shot = await api.shot(path)
    history.replaceState(null, '', `#${encodeURIComponent(path)}`)
    document.title = `${shotName(path)} – Platefit`
    view.set({
      frame: 0,
      draft: undefined,
      drawing: undefined,
      tell: undefined,
      selected: shot.elements[0]?.id,
    })
    session.set({ shot, plate: undefined, element: undefined })
    listen(path)
  })
}

/** Leaves the shot for the first screen, to begin another one. */
export function leaveShot(): void {
  history.replaceState(null, '', '#')
  session.set({ shot: undefined, plate: undefined, element: undefined })
  listen(undefined)
}

/** What a hand did while the server was away: made when it is back. */
let waiting: Edit[] = []

export async function edit(change: Edit): Promise<void> {
  if (session.get().here) await onShot((path) => api.edit(path, change))
  if (!session.get().here) waiting.push(change)
}

export async function step(way: 'undo' | 'redo'): Promise<void> {
  await onShot((path) => api.step(path, way))
}

export async function addElement(file: string): Promise<void> {
  const before = session.get().shot?.elements.length
  await onShot((path) => api.addElement(path, file))
  const elements = session.get().shot?.elements
  if (elements !== undefined && elements.length !== before) view.set({ selected: elements.at(-1)?.id })
}

type Ask = JobAsk extends infer A ? (A extends JobAsk ? Omit<A, 'path'> : never) : never

export async function startJob(ask: Ask): Promise<void> {
  const { shot } = session.get()
  if (shot === undefined) return
  await attempt(async () => tookJob(await api.job({ ...ask, path: shot.path } as JobAsk)))
}

export async function cancelJob(): Promise<void> {
  const { shot } = session.get()
  if (shot !== undefined) await attempt(async () => tookJob((await api.cancel(shot.path)) ?? undefined))
}

/** Makes a shot when its plate and an element are there. */
export async function choose(file: string, role: 'plate' | 'element'): Promise<void> {
  session.set({ [role]: file })
  const { plate, element } = session.get()
  if (plate === undefined || element === undefined) return
  await attempt(async () => {
    const { path } = await api.newShot({ plate, elements: [element] })
    await openShot(path)
  })
}

/** Does it, and tells what went wrong. */
export async function attempt(work: () => Promise<void>): Promise<void> {
  try {
    await work()
    session.set({ problem: undefined })
  } catch (e) {
    if (e instanceof Refused) session.set({ problem: e.detail })
    else if (e instanceof Away) gone()
    else throw e
  }
}

export function shotName(path: string): string {
  return path.replace(/\.shot\.json$/, '')
}

async function onShot(work: (path: string) => Promise<ShotState>): Promise<void> {
  const { shot } = session.get()
  if (shot !== undefined) await attempt(async () => session.set({ shot: await work(shot.path) }))
}

function tookJob(job: JobState | undefined): void {
  const { shot } = session.get()
  if (shot !== undefined) session.set({ shot: { ...shot, job } })
}

function listen(path: string | undefined): void {
  events?.close()
  events = api.events(path)
  events.addEventListener('shot', (e) => {
    const shot = JSON.parse(e.data) as ShotState
    if (shot.path === session.get().shot?.path) session.set({ shot })
  })
  events.addEventListener('job', (e) => tookJob(JSON.parse(e.data) as JobState))
  events.addEventListener('folder', (e) => session.set({ folder: JSON.parse(e.data) as Folder }))
  events.addEventListener('error', gone)
}

/** The server has ended: asks again until it is back, then takes up the state that it has. */
function gone(): void {
  if (!session.get().here) return
  session.set({ here: false })
  events?.close()
  const again = async () => {
    try {
      const folder = await api.folder()
      const { shot } = session.get()
      const now = shot === undefined ? undefined : await api.shot(shot.path)
      session.set({ folder, shot: now, here: true })
      listen(now?.path)
      const late = waiting
      waiting = []
      for (const change of late) await edit(change)
      view.set({ draft: undefined })
    } catch {
      setTimeout(again, AGAIN_MS)
    }
  }
  setTimeout(again, AGAIN_MS)
}
