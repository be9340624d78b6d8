/** The opened folder and its shot as the server has them, and whether it answers. */
import type { ProblemDetail } from '../../core/index.js'
import type { Folder, JobState, ShotState } from '../../server/protocol.js'
import { Away, api, Refused } from './api.js'
import { Store } from './store.js'
import { view } from './view.js'

interface Session {
  readonly folder: Folder | undefined
  readonly shot: ShotState | undefined
  /** The server answers. */
  readonly here: boolean
  /** What went wrong since the person last started something. */
  readonly problems: readonly ProblemDetail[]
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
  problems: [],
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
    else await enterShot(path)
  })
}

/** @throws Refused, Away */
export async function enterShot(path: string): Promise<void> {
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
}

/** Leaves the shot for the first screen. */
export function exitShot(): void {
  history.replaceState(null, '', '#')
  session.set({ shot: undefined, plate: undefined, element: undefined })
  listen(undefined)
}

/**
 * What a person starts: what went wrong before is told no more, what goes wrong now is. Around the whole of it, never inside
 * another one, where success would hide the failure of a part.
 *
 * @returns whether it was done
 */
export async function attempt(work: () => Promise<void>): Promise<boolean> {
  session.set({ problems: [] })
  try {
    await work()
    return true
  } catch (e) {
    if (e instanceof Away) gone()
    else tell(e)
    return false
  }
}

/** Tells what was refused. @throws anything else */
export function tell(e: unknown): void {
  if (!(e instanceof Refused)) throw e
  session.set({ problems: [...session.get().problems, e.detail] })
}

export function shotName(path: string): string {
  return path.replace(/\.shot\.json$/, '')
}

/** @throws Refused, Away */
export async function onShot(work: (path: string) => Promise<ShotState>): Promise<void> {
  const { shot } = session.get()
  if (shot !== undefined) session.set({ shot: await work(shot.path) })
}

export function tookJob(job: JobState | undefined): void {
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
    } catch {
      setTimeout(again, AGAIN_MS)
    }
  }
  setTimeout(again, AGAIN_MS)
}
