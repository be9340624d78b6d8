import type { Job, Progress } from './types.js'

/** The first frames wait for what is made once, or come from a cache: before so many seconds no speed is told. */
const SETTLED = 0.5

/**
 * Reports progress of a stage through the job, and stops the work when the job is cancelled.
 *
 * @param before how much of `total` was done already: it says nothing of the speed
 */
export function tracker(
  job: Job,
  stage: Progress['stage'],
  total: number,
  before = 0,
): (done: number) => void {
  const start = performance.now()
  return (done) => {
    job.signal?.throwIfAborted()
    const seconds = (performance.now() - start) / 1000
    const framesPerSecond = seconds < SETTLED ? 0 : (done - before) / seconds
    job.onProgress?.({
      stage,
      done,
      total,
      framesPerSecond,
      secondsLeft: framesPerSecond > 0 ? (total - done) / framesPerSecond : Number.POSITIVE_INFINITY,
    })
  }
}

/**
 * A job whose caller hears at the moment of cancelling that the work stops (`stopping`), and no progress after that.
 * Call `end` when the work is over.
 */
export function acknowledging(job: Job, first: Progress): { job: Job; end: () => void } {
  const { signal, onProgress } = job
  let last = first
  const stopping = () => onProgress?.({ ...last, stopping: true })
  signal?.addEventListener('abort', stopping, { once: true })
  const told = (p: Progress) => {
    last = p
    if (signal?.aborted !== true) onProgress?.(p)
  }
  return { job: { ...job, onProgress: told }, end: () => signal?.removeEventListener('abort', stopping) }
}
