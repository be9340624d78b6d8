/** What a second thread is worth: the pixel work of a whole-frame render, without codecs, on one thread and on two. */

import { dirname } from 'node:path'
import { Worker } from 'node:worker_threads'
import { loadShot } from '../../src/engine/document.js'
import type { FrameInput } from '../../src/engine/frame.js'
import { frameInputs } from '../../src/engine/inputs.js'
import { makePlan } from '../../src/engine/plan.js'
import { closeShot, openShot } from '../../src/engine/sources.js'
import type { Scene } from './scene.js'
import { compared, type Row, turns } from './timing.js'

/** Frames of a turn, and different ones among them: all are decoded beforehand. */
const FRAMES = 12
const DIFFERENT = 3

/** ms a frame on two threads against one; the ratio says how many times faster two are. */
export async function threadsRow(scene: Scene, rounds: number): Promise<Row> {
  const { shot } = await loadShot(scene.shot)
  const sources = await openShot(shot, dirname(scene.shot))
  const plan = makePlan(shot, sources, { format: 'prores-422-hq' })
  const inputs: FrameInput[] = []
  for await (const input of frameInputs(shot, sources, [...Array(DIFFERENT).keys()])) inputs.push(input)
  await closeShot(sources)
  const workers = [0, 1].map(
    () => new Worker(new URL('./threadsWorker.js', import.meta.url), { workerData: { plan, inputs } }),
  )
  const work = (threads: number) => () =>
    Promise.all(workers.slice(0, threads).map((worker) => make(worker, FRAMES / threads)))
  try {
    const [two = [], one = []] = await turns([work(2), work(1)], rounds)
    const times = compared(two, 'one-thread', one, (mine, its) => its / mine, FRAMES)
    return { name: 'threads', size: scene.size, ...times }
  } finally {
    await Promise.all(workers.map((worker) => worker.terminate()))
  }
}

function make(worker: Worker, frames: number): Promise<void> {
  return new Promise((resolve, reject) => {
    worker.once('error', reject)
    worker.once('message', () => {
      worker.off('error', reject)
      resolve()
    })
    worker.postMessage(frames)
  })
}
