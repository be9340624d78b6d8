import { Worker } from 'node:worker_threads'
import { Problem, type ProblemDetail } from '../core/index.js'
import type { FrameInput, FrameOutput } from './frame.js'
import type { Plan } from './plan.js'

type Answer = { output: FrameOutput } | { problem: ProblemDetail } | { defect: string }

interface Slot {
  readonly worker: Worker
  settle: { resolve: (o: FrameOutput) => void; reject: (e: Error) => void } | undefined
}

/** Threads run the built worker: under a test runner the sources are TypeScript, which a thread cannot load. */
const ENTRY = new URL(
  import.meta.url.endsWith('.ts') ? '../../dist/engine/worker.js' : './worker.js',
  import.meta.url,
)

/**
 * Worker threads that make frames. At most as many frames at once as there are threads; the order is the caller's. A thread
 * that dies takes the pool with it: every frame asked for then or later fails with the cause.
 */
export class Pool {
  readonly #slots: Slot[]
  readonly #waiting: { resolve: (slot: Slot) => void; reject: (e: Error) => void }[] = []
  #dead: Error | undefined

  constructor(plan: Plan, threads: number) {
    this.#slots = Array.from({ length: threads }, () => {
      const slot: Slot = { worker: new Worker(ENTRY, { workerData: plan }), settle: undefined }
      slot.worker.on('message', (answer: Answer) => this.#finish(slot, answer))
      slot.worker.on('error', (error) => this.#die(error))
      slot.worker.on('exit', (code) => this.#die(new Error(`a worker thread ended with code ${code}`)))
      return slot
    })
  }

  /** Waits for a free thread, then resolves to a promise of the finished frame. */
  async submit(input: FrameInput): Promise<{ done: Promise<FrameOutput> }> {
    if (this.#dead !== undefined) throw this.#dead
    const slot =
      this.#slots.find((s) => s.settle === undefined) ??
      (await new Promise<Slot>((resolve, reject) => this.#waiting.push({ resolve, reject })))
    const done = new Promise<FrameOutput>((resolve, reject) => {
      slot.settle = { resolve, reject }
    })
    slot.worker.postMessage(input)
    return { done }
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

  #finish(slot: Slot, answer: Answer): void {
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
