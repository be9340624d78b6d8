/** A thread of the pool: gets the plan once, then frames; gives encoder input back, or makes it in the plate's own memory. */
import { parentPort } from 'node:worker_threads'
import { answered, buffersOf, failed } from './answer.js'
import { type FrameInput, type FrameMade, FrameMaker } from './frame.js'
import type { Plan } from './plan.js'
import { type readyFor, takeReady } from './recent.js'
import { END } from './threads.js'

/** What the thread is sent before the first frame of a render. */
export interface Start {
  readonly plan: Plan
  readonly ready: ReturnType<typeof readyFor>
}

let maker: FrameMaker

parentPort?.on('message', (message: Start | FrameInput | typeof END) => {
  if (message === END) parentPort?.close()
  else if ('plan' in message) {
    takeReady(message.ready)
    maker = new FrameMaker(message.plan)
  } else answer(message)
})

function answer(input: FrameInput): void {
  try {
    const { frame, ...rest } = maker.make(input, true)
    const made: FrameMade = frame === input.plate ? rest : { ...rest, frame }
    answered(made, frame === input.plate ? [] : buffersOf(frame))
  } catch (error) {
    failed(error)
  }
}
