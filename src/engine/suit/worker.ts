/** A thread of the pool that looks at elements: a found element in, its look out. */
import { parentPort } from 'node:worker_threads'
import { Problem } from '../../core/index.js'
import type { Found } from './find.js'
import { lookAtElement } from './look.js'

/** Each thread decodes by itself: many files at once keep the cores busy better than one file on all of them. */
const DECODER_THREADS = 1

parentPort?.on('message', async (found: Found) => {
  try {
    const output = await lookAtElement(found, DECODER_THREADS)
    parentPort?.postMessage({ output }, [output.fullest.data.buffer as ArrayBuffer])
  } catch (error) {
    if (error instanceof Problem) parentPort?.postMessage({ problem: error.detail })
    else
      parentPort?.postMessage({
        defect: error instanceof Error ? (error.stack ?? error.message) : String(error),
      })
  }
})
