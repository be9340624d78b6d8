/** A thread of a preview. */
import { parentPort } from 'node:worker_threads'
import { Problem } from '../../core/index.js'
import { END } from '../threads.js'
import type { Task } from './task.js'
import { work } from './work.js'

parentPort?.on('message', (task: Task | typeof END) => {
  if (task === END) return parentPort?.close()
  try {
    parentPort?.postMessage({ output: work(task) })
  } catch (error) {
    if (error instanceof Problem) parentPort?.postMessage({ problem: error.detail })
    else
      parentPort?.postMessage({
        defect: error instanceof Error ? (error.stack ?? error.message) : String(error),
      })
  }
})
