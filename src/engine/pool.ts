import { Worker } from 'node:worker_threads'
import { Problem, type ProblemDetail } from '../core/index.js'

/** What a thread is sent that shall end. */
export const END = 'end'

type Answer<Output> = { output: Output } | { problem: ProblemDetail } | { defect: string }

interface Slot<Output> {
  readonly worker: Worker
  readonly gone: Promise<void>
  settle: { resolve: (o: Output) => void; reject: (e: Error) => void } | undefined
}

/** Threads run the built worker: under a test runner the sources are TypeScript, which a thread cannot load. */
const ENGINE = new URL(import.meta.url.endsWith('.ts') ? '../../dist/engine/' : './', import.meta.url)

/**
 * Worker threads that answer one input at a time. At most as many at once as there are threads; the order is the caller's. A
 * thread that dies takes the pool with it: everything asked for then or later fails with the cause.
 */
export class Pool<Input, Output> {
  readonly #slots: Slot<Output>[]
  readonly #waiting: { resolve: (slot: Slot<Output>) => void; reject: (e: Error) => void }[] = []
  #dead: Error | undefined

  /** @param entry the thread's file in this room; @param data what every thread is given once */
  constructor(entry: 'worker.js' | 'suit/worker.js', data: unknown, threads: number) {
    this.#slots = Array.from({ length: threads }, () => {
      const worker = new Worker(new URL(entry, ENGINE), { workerData: data })
      const gone = new Promise<void>((resolve) => worker.once('exit', () => resolve()))
      const slot: Slot<Output> = { worker, gone, settle: undefined }
      slot.worker.on('message', (answer: Answer<Output>) => this.#finish(slot, answer))
      slot.worker.on('error', (error) => this.#die(error))
      slot.worker.on('exit', (code) => this.#die(new Error(`a worker thread ended with code ${code}`)))
      return slot
    })
  }

  /** Waits for a free thread, then resolves to a promise of its answer. */
  async submit(input: Input): Promise<{ done: Promise<Output> }> {
    if (this.#dead !== undefined) throw this.#dead
    const slot =
      this.#slots.find((s) => s.settle === undefined) ??
      (await new Promise<Slot<Output>>((resolve, reject) => this.#waiting.push({ resolve, reject })))
    const done = new Promise<Output>((resolve, reject) => {
      slot.settle = { resolve, reject }
    })
    slot.worker.postMessage(input)
    return { done }
  }

  /**
   * Asks the threads to end by themselves, which those that decode need: one that is torn down while the codec library works
   * for it takes the whole process along.
   */
  async end(): Promise<void> {
    this.#dead ??= new Error('the pool was closed')
    await Promise.all(
      this.#slots.map(({ worker, gone }) => {
        worker.postMessage(END)
        return gone
      }),
    )
  }

  async close(): Promise<void> {
    this.#dead ??= new Error('the pool was closed')
    await Promise.all(this.#slots.map((s) => s.worker.terminate()))
  }

  #die(error: Error): void {
    if (this.#dead !== undefined) return
    this.#dead = error
    for (const slot of this.#slots) slot.settle?.reject(error)
    for (const { reject } of this.#waiting.splice(0)) reject(error)
  }

  #finish(slot: Slot<Output>, answer: Answer<Output>): void {
    const settle = slot.settle
    slot.settle = undefined
    if ('output' in answer) settle?.resolve(answer.output)
    else settle?.reject('problem' in answer ? new Problem(answer.problem) : new Error(answer.defect))
    const next = this.#waiting.shift()
    if (next === undefined) return
    // Claimed at once, so that no other caller takes the slot before the waiting one runs.
    slot.settle = { resolve: () => {}, reject: () => {} }
    next.resolve(slot)
  }
}
