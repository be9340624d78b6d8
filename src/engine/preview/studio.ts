/** Threads, and memory for small pictures, that the previews of one shot or of several work with. */
import { availableParallelism } from 'node:os'
import { Pool } from '../pool.js'
import { Store } from './store.js'
import type { Done, Task } from './task.js'

export interface StudioOptions {
  /** Threads. Default: the machine's cores, at most 8. */
  readonly workers?: number
  /** Memory for the pictures that are kept, in bytes; 256 MiB when absent. */
  readonly memoryBytes?: number
}

export class Studio {
  readonly workers: number
  readonly store: Store
  #pool: Pool<Task, Done> | undefined
  #closed = false

  constructor({
    workers = Math.min(availableParallelism(), 8),
    memoryBytes = 256 * 2 ** 20,
  }: StudioOptions = {}) {
    this.workers = workers
    this.store = new Store(memoryBytes)
  }

  /** As `Pool.submit`. Threads begin with the first task. */
  submit(task: Task): Promise<{ done: Promise<Done> }> {
    if (this.#closed) return Promise.reject(new Error('the studio is closed'))
    this.#pool ??= new Pool<Task, Done>('preview/worker.js', this.workers)
    return this.#pool.submit(task)
  }

  async ask(task: Task): Promise<Done> {
    return (await this.submit(task)).done
  }

  /** What is asked for and not answered fails. */
  async close(): Promise<void> {
    this.#closed = true
    this.store.clear()
    await this.#pool?.close()
  }
}
