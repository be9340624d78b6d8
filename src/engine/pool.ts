import type { Worker } from 'node:worker_threads'
import { Problem, type ProblemDetail } from '../core/index.js'
import { END, type Entry, endThread, hasAnswered, standBy, threadFor } from './threads.js'

type Answer<Output> = { output: Output } | { problem: ProblemDetail } | { defect: string }

interface Asked<Output> {
  readonly resolve: (o: Output) => void
  readonly reject: (e: Error) => void
}

interface Slot<Output> {
  readonly worker: Worker
  readonly gone: Promise<void>
  /** What it works on, and what it goes on with, oldest first. */
  readonly asked: Asked<Output>[]
}

/**
 * Worker threads that answer inputs in turn. Each holds at most `depth` of them, so that it need not wait for the next one;
 * the order of the answers is the caller's. A thread that dies takes the pool with it: everything asked for then or later
 * fails with the cause.
 */
export class Pool<Input, Output> {
  readonly #slots: Slot<Output>[]
  readonly #entry: Entry
  readonly #depth: number
  readonly #waiting: (() => void)[] = []
  #dead: Error | undefined

  /** @param entry the thread's file in this room */
  constructor(entry: Entry, threads: number, depth = 1) {
    this.#entry = entry
    this.#depth = depth
    this.#slots = Array.from({ length: threads }, () => {
      const worker = threadFor(entry)
      const gone = new Promise<void>((resolve) => worker.once('exit', () => resolve()))
      const slot: Slot<Output> = { worker, gone, asked: [] }
      slot.worker.on('message', (answer: Answer<Output>) => this.#finish(slot, answer))
      slot.worker.on('error', (error) => this.#die(error))
      slot.worker.on('exit', (code) => this.#die(new Error(`a worker thread ended with code ${code}`)))
      return slot
    })
  }

  /** Sends every thread what it needs before its first input. */
  begin(first: unknown): void {
    for (const { worker } of this.#slots) worker.postMessage(first)
  }

  /** Waits for a thread that takes one more, then resolves to a promise of its answer. */
  async submit(input: Input): Promise<{ done: Promise<Output> }> {
    for (;;) {
      if (this.#dead !== undefined) throw this.#dead
      const slot = this.#slots.reduce((a, b) => (b.asked.length < a.asked.length ? b : a))
      if (slot.asked.length < this.#depth) {
        const done = new Promise<Output>((resolve, reject) => slot.asked.push({ resolve, reject }))
        // Whoever has stopped waiting for it is not to hear that it failed.
        done.catch(() => {})
        slot.worker.postMessage(input)
        return { done }
      }
      await new Promise<void>((resolve) => this.#waiting.push(resolve))
    }
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

  /** Ends threads that work at once, and what was asked for and is not answered fails; those that rest stand by for the next pool. */
  async close(): Promise<void> {
    const sound = this.#dead === undefined
    const busy = this.#slots.filter((s) => !sound || s.asked.length > 0)
    this.#die(new Error('the pool was closed'))
    for (const s of this.#slots) if (!busy.includes(s)) standBy(this.#entry, s.worker)
    await Promise.all(busy.map((s) => endThread(s.worker, s.gone)))
  }

  #die(error: Error): void {
    if (this.#dead !== undefined) return
    this.#dead = error
    for (const { asked } of this.#slots) for (const { reject } of asked.splice(0)) reject(error)
    for (const look of this.#waiting.splice(0)) look()
  }

  #finish(slot: Slot<Output>, answer: Answer<Output>): void {
    const asked = slot.asked.shift()
    hasAnswered(slot.worker)
    if ('output' in answer) asked?.resolve(answer.output)
    else asked?.reject('problem' in answer ? new Problem(answer.problem) : new Error(answer.defect))
    this.#waiting.shift()?.()
  }
}
