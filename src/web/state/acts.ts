/** Everything that a person does to a shot. What a hand is still making is written before anything else is done. */
import type { JobAsk, PageEdit } from '../../server/protocol.js'
import { api } from './api.js'
import { attempt, enterShot, exitShot, onShot, session, tookJob } from './session.js'
import { view } from './view.js'

/** What a hand did while the server was away: made when it is back. */
let waiting: PageEdit[] = []

/** @returns whether it is in the document */
export async function edit(change: PageEdit): Promise<boolean> {
  const { here } = session.get()
  const made = here && (await attempt(() => onShot((path) => api.edit(path, change))))
  if (!session.get().here) waiting.push(change)
  return made
}

session.subscribe(() => {
  if (session.get().here && waiting.length > 0) void makeLate()
})

async function makeLate(): Promise<void> {
  const late = waiting
  waiting = []
  for (const change of late) await edit(change)
  const { draft } = view.get()
  if (draft !== undefined && late.includes(draft)) view.set({ draft: undefined })
}

/** Writes what a hand is making. @returns false when that could not be */
export function commit(): Promise<boolean> {
  const { draft } = view.get()
  if (draft === undefined) return Promise.resolve(true)
  if (writing?.draft !== draft) writing = { draft, done: written(draft) }
  return writing.done
}

/** What is under way to the document: it is sent once, whoever else wants it written meanwhile. */
let writing: { readonly draft: PageEdit; readonly done: Promise<boolean> } | undefined

async function written(draft: PageEdit): Promise<boolean> {
  const made = await edit(draft)
  writing = undefined
  // What could not be written yet stays in sight.
  if (session.get().here && view.get().draft === draft) view.set({ draft: undefined })
  return made
}

/** The page goes: sends what is not in the document yet, though the browser may have cut the line to the server already. */
export function sendOff(): void {
  const { shot } = session.get()
  const { draft } = view.get()
  if (shot === undefined) return
  for (const change of new Set([...waiting, ...(draft === undefined ? [] : [draft])]))
    api.edit(shot.path, change).catch(() => {})
}

export async function openShot(path: string): Promise<void> {
  if (await commit()) await attempt(() => enterShot(path))
}

/** Leaves the shot for the first screen, to begin another one. */
export async function leaveShot(): Promise<void> {
  if (await commit()) exitShot()
}

export async function step(way: 'undo' | 'redo'): Promise<void> {
  if (await commit()) await attempt(() => onShot((path) => api.step(path, way)))
}

type Ask = JobAsk extends infer A ? (A extends JobAsk ? Omit<A, 'path'> : never) : never

export async function startJob(ask: Ask): Promise<void> {
  if (!(await commit())) return
  const { shot } = session.get()
  if (shot === undefined) return
  await attempt(async () => tookJob(await api.job({ ...ask, path: shot.path } as JobAsk)))
}

export async function cancelJob(): Promise<void> {
  const { shot } = session.get()
  if (shot !== undefined) await attempt(async () => tookJob((await api.cancel(shot.path)) ?? undefined))
}

/** @throws Refused, Away */
export async function addElement(file: string): Promise<void> {
  const before = session.get().shot?.elements.length
  await onShot((path) => api.addElement(path, file))
  const elements = session.get().shot?.elements
  if (elements !== undefined && elements.length !== before) view.set({ selected: elements.at(-1)?.id })
}

/** Takes a file for the shot that is to be, which is made when plate and element are there. @throws Refused, Away */
export async function choose(file: string, role: 'plate' | 'element'): Promise<void> {
  session.set({ [role]: file })
  const { plate, element } = session.get()
  if (plate === undefined || element === undefined) return
  try {
    const { path } = await api.newShot({ plate, elements: [element] })
    await enterShot(path)
  } catch (e) {
    session.set({ [role]: undefined })
    throw e
  }
}
