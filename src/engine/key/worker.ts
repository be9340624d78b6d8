/** A thread of the pool that keys: a frame in, its light without the screen out; or what was keyed beside its neighbours. */
import { parentPort } from 'node:worker_threads'
import { answered, buffersOf, failed } from '../answer.js'
import { END } from '../threads.js'
import { type KeyInput, type KeyStart, keyFrame } from './frame.js'
import { besideOthers, type MovingInput } from './moving.js'

let start: KeyStart

parentPort?.on('message', (message: KeyStart | KeyInput | MovingInput | typeof END) => {
  if (message === END) parentPort?.close()
  else if ('how' in message) start = message
  else answer(message)
})

function answer(input: KeyInput | MovingInput): void {
  try {
    const made = 'own' in input ? besideOthers(start, input) : keyFrame(start, input)
    answered(made, made.frame && buffersOf(made.frame))
  } catch (error) {
    failed(error)
  }
}
