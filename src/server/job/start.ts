/** A job started in a process of its own. */
import { type ChildProcess, fork } from 'node:child_process'
import { fileURLToPath } from 'node:url'
import { Problem } from '../../core/index.js'
import { BUILT } from '../../engine/built.js'
import type { Progress } from '../../engine/types.js'
import type { Answers, Said, Task } from './task.js'

/** A process that does not stop by itself in this time is ended: a frame takes no longer. */
const PATIENCE_MS = 20_000

const CHILD = fileURLToPath(new URL('server/job/child.js', BUILT))

export interface Started<K extends Task['kind']> {
  /** @throws Problem of the work, `engine.stopped` when it was stopped */
  readonly done: Promise<Answers[K]>
  stop(): void
}

export function startJob<K extends Task['kind']>(
  task: Extract<Task, { kind: K }>,
  onProgress: (p: Progress) => void,
): Started<K> {
  const child = fork(CHILD, [], {
    stdio: ['ignore', 'ignore', 'inherit', 'ipc'],
  })
  const done = answerOf(child, onProgress) as Promise<Answers[K]>
  child.send(task)
  return {
    done,
    stop() {
      if (!child.connected) return
      child.send('stop')
      setTimeout(() => child.kill('SIGKILL'), PATIENCE_MS).unref()
    },
  }
}

function answerOf(child: ChildProcess, onProgress: (p: Progress) => void): Promise<Answers[keyof Answers]> {
  return new Promise((resolve, reject) => {
    child.on('message', (said: Said) => {
      if ('progress' in said) onProgress(said.progress)
      else if ('problem' in said) reject(new Problem(said.problem))
      else if ('defect' in said) reject(new Error(said.defect))
      else resolve(said.done)
    })
    child.once('error', reject)
    child.once('exit', (code, signal) =>
      reject(
        new Problem({
          code: 'server.job-died',
          what: 'The job ended without an answer',
          received: signal ?? `exit code ${code}`,
          remedy: 'Try again: a render goes on from its whole parts.',
          exit: 3,
        }),
      ),
    )
  })
}
