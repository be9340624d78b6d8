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

/** Worker threads that make frames. At most as many frames at once as there are threads; the order is the caller's. */
export class Pool {
  readonly #slots: Slot[]
  readonly #waiting: ((slot: Slot) => void)[] = []

  constructor(plan: Plan, threads: number) {
    this.#slots = Array.from({ length: threads }, () => {
      const slot: Slot = { worker: new Worker(ENTRY, { workerData: plan }), settle: undefined }
      slot.worker.on('message', (answer: Answer) => this.#finish(slot, answer))
      slot.worker.on('error', (error) => this.#finish(slot, { defect: error.stack ?? error.message }))
      return slot
    })
  }

  /** Waits for a free thread, then resolves to a promise of the finished frame. */
  async submit(input: FrameInput): Promise<{ done: Promise<FrameOutput> }> {
    const slot =
      this.#slots.find((s) => s.settle === undefined) ??
      (await new Promise<Slot>((r) => this.#waiting.push(r)))
    const done = new Promise<FrameOutput>((resolve, reject) => {
      slot.settle = { resolve, reject }
    })
    slot.worker.postMessage(input)
    return { done }
  }

  async close(): Promise<void> {
    await Promise.all(this.#slots.map((s) => s.worker.terminate()))
  }

  #finish(slot: Slot, answer: Answer): void {
    const settle = slot.settle
    slot.settle = undefined
    if ('output' in answer) settle?.resolve(answer.output)
    else settle?.reject('problem' in answer ? new Problem(answer.problem) : new Error(answer.defect))
    const next = this.#waiting.shift()
    if (next !== undefined) {
      // Claimed at once, so that no other caller takes the slot before the waiting one runs.
      slot.settle = { resolve: () => {}, reject: () => {} }
      next(slot)
    }
  }
}
