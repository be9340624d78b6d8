/** Threads for a world, or none: under a test runner the work is done in place. */
import { fileURLToPath } from 'node:url'
import { isMainThread, parentPort, Worker, workerData } from 'node:worker_threads'
import type { Setting } from './setting.js'
import { type Done, Hands, type Task } from './tasks.js'

const here = fileURLToPath(import.meta.url)

export class Crew {
  private readonly workers: Worker[] = []
  private readonly idle: Worker[] = []
  private readonly queue: { task: Task; done: (d: Done) => void; fail: (e: unknown) => void }[] = []
  private readonly hands: Hands | undefined

  constructor(s: Setting, threads: number) {
    if (threads < 2 || here.endsWith('.ts')) {
      this.hands = new Hands(s)
      return
    }
    for (let k = 0; k < threads; k++) {
      const worker = new Worker(new URL(import.meta.url), { workerData: { setting: s } })
      this.workers.push(worker)
      this.idle.push(worker)
    }
  }

  run(task: Task): Promise<Done> {
    if (this.hands) return Promise.resolve(this.hands.do(task))
    return new Promise((done, fail) => {
      this.queue.push({ task, done, fail })
      this.next()
    })
  }

  async close(): Promise<void> {
    await Promise.all(this.workers.map((w) => w.terminate()))
  }

  private next(): void {
    const worker = this.idle.pop()
    if (!worker) return
    const job = this.queue.shift()
    if (!job) {
      this.idle.push(worker)
      return
    }
    const onMessage = (d: Done) => {
      worker.off('error', onError)
      this.idle.push(worker)
      job.done(d)
      this.next()
    }
    const onError = (e: unknown) => {
      worker.off('message', onMessage)
      job.fail(e)
    }
    worker.once('message', onMessage)
    worker.once('error', onError)
    worker.postMessage(job.task)
  }
}

if (!isMainThread && parentPort && (workerData as { setting?: Setting } | null)?.setting) {
  const hands = new Hands((workerData as { setting: Setting }).setting)
  const port = parentPort
  port.on('message', (task: Task) => port.postMessage(hands.do(task)))
}
