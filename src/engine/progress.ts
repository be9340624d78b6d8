import type { Job, Progress } from './types.js'

/** Reports progress of a stage through the job, and stops the work when the job is cancelled. */
export function tracker(job: Job, stage: Progress['stage'], total: number): (done: number) => void {
  const start = performance.now()
  return (done) => {
    job.signal?.throwIfAborted()
    const seconds = (performance.now() - start) / 1000
    const framesPerSecond = done / Math.max(seconds, 1e-6)
    job.onProgress?.({
      stage,
      done,
      total,
      framesPerSecond,
      secondsLeft: (total - done) / Math.max(framesPerSecond, 1e-6),
    })
  }
}
