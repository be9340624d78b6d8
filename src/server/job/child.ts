/** A job's own process: it may take all cores, fail or be stopped, and the page goes on. It ends when the server does. */
import { Problem } from '../../core/index.js'
import { openCache } from '../../engine/cache/index.js'
import type { Job } from '../../engine/types.js'
import type { Said, Task } from './task.js'
import { work } from './work.js'

const stop = new AbortController()
const say = (said: Said) => process.send?.(said)

process.on('disconnect', () => process.exit(3))
process.on('message', (message: Task | 'stop') => {
  if (message === 'stop') stop.abort()
  else void run(message)
})

async function run(task: Task): Promise<void> {
  const cache = openCache({})
  const job: Job = { signal: stop.signal, onProgress: (progress) => say({ progress }), cache }
  try {
    say({ done: await work(task, job) })
  } catch (e) {
    if (e instanceof Problem) say({ problem: e.detail })
    else if (stop.signal.aborted) say({ problem: { code: 'engine.stopped', what: 'The job was stopped' } })
    else say({ defect: e instanceof Error ? (e.stack ?? e.message) : String(e) })
  } finally {
    await cache.settle()
    process.disconnect?.()
  }
}
