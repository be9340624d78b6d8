/** A thread of a preview. */
import { parentPort } from 'node:worker_threads'
import { answered, failed } from '../answer.js'
import { END } from '../threads.js'
import type { Task } from './task.js'
import { work } from './work.js'

parentPort?.on('message', (task: Task | typeof END) => {
  if (task === END) return parentPort?.close()
  try {
    answered(work(task))
  } catch (error) {
    failed(error)
  }
})
