/**
 * Threads of the engine, and those that stand by: one that has worked has its program compiled and its memory touched, which for
 * the next shot of a film saves half a second of each core.
 */
import { Worker } from 'node:worker_threads'
import { BUILT } from './built.js'

/** What a thread is sent that shall end by itself. */
export const END = 'end'

/** A thread's file in this room. */
export type Entry = 'worker.js' | 'suit/worker.js' | 'preview/worker.js' | 'key/worker.js'

const ENGINE = new URL('engine/', BUILT)

/**
 * How long one stands by, in ms: for who looks at a render and asks for it again, or for the next shot. It holds the memory of its
 * last frame meanwhile.
 */
const PATIENCE = 60_000

interface Idle {
  readonly worker: Worker
  readonly tired: NodeJS.Timeout
}

const idle = new Map<Entry, Idle[]>()

export function threadFor(entry: Entry): Worker {
  const one = idle.get(entry)?.pop()
  if (one === undefined) return new Worker(new URL(entry, ENGINE))
  clearTimeout(one.tired)
  forget(one.worker)
  one.worker.ref()
  return one.worker
}

/** For a thread that has answered everything; it does not keep the process alive. */
export function standBy(entry: Entry, worker: Worker): void {
  const all = idle.get(entry) ?? []
  idle.set(entry, all)
  const leave = () => {
    const i = all.indexOf(one)
    if (i >= 0) all.splice(i, 1)
  }
  const tired = setTimeout(() => {
    leave()
    void worker.terminate()
  }, PATIENCE).unref()
  const one = { worker, tired }
  all.push(one)
  forget(worker)
  worker.once('error', leave)
  worker.once('exit', leave)
  worker.unref()
}

const loaded = new WeakSet<Worker>()

export function hasAnswered(worker: Worker): void {
  loaded.add(worker)
}

/** At once; but one that is torn down while it loads leaves the files open from which it does, so it is asked to end after that. */
export async function endThread(worker: Worker, gone: Promise<void>): Promise<void> {
  if (loaded.has(worker)) await worker.terminate()
  else {
    worker.postMessage(END)
    await gone
  }
}

/** By name: a thread listens to its own listeners coming and going, and hears nothing any more when that is taken away. */
function forget(worker: Worker): void {
  for (const name of ['message', 'error', 'exit']) worker.removeAllListeners(name)
}
