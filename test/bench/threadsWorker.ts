/** A thread that makes frames from inputs it was given once. */
import { parentPort, workerData } from 'node:worker_threads'
import { type FrameInput, FrameMaker } from '../../src/engine/frame.js'
import type { Plan } from '../../src/engine/plan.js'

const { plan, inputs } = workerData as { readonly plan: Plan; readonly inputs: readonly FrameInput[] }
const maker = new FrameMaker(plan)

parentPort?.on('message', (frames: number) => {
  for (let i = 0; i < frames; i++) maker.make(inputs[i % inputs.length] as FrameInput, true)
  parentPort?.postMessage('made')
})
