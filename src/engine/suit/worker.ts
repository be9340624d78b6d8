/** A thread of the pool that looks at elements: a found element in, its look out. */
import { parentPort } from 'node:worker_threads'
import { answered, failed } from '../answer.js'
import { END } from '../threads.js'
import type { Found } from './find.js'
import { lookAtElement } from './look.js'

/** Each thread decodes by itself: many files at once keep the cores busy better than one file on all of them. */
const DECODER_THREADS = 1

const stop = new AbortController()
let busy: Promise<void> = Promise.resolve()

parentPort?.on('message', (message: Found | typeof END) => {
  if (message === END) {
    stop.abort()
    void busy.then(() => parentPort?.close())
  } else busy = answer(message)
})

async function answer(found: Found): Promise<void> {
  try {
    const output = await lookAtElement(found, { threads: DECODER_THREADS, signal: stop.signal })
    answered(output, [output.fullest.data.buffer as ArrayBuffer])
  } catch (error) {
    failed(error)
  }
}
