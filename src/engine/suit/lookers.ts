/** Elements looked at side by side: in threads where there are several, here where there is one. */
import { availableParallelism, freemem } from 'node:os'
import { Problem } from '../../core/index.js'
import { cached } from '../cache/cached.js'
import { contentOf } from '../cache/content.js'
import { Pool } from '../pool.js'
import type { Job } from '../types.js'
import type { Found } from './find.js'
import { type ElementLook, lookAtElement } from './look.js'

/** A thread's memory at its peak, bytes: a few 4K frames with alpha in its decoder, and what is measured of one (a choice). */
const EACH = 384 * 2 ** 20
const MOST_THREADS = 8

/**
 * Threads for so many elements; the answers do not depend on it.
 *
 * @throws Problem `suit.too-little-memory` when less is allowed than one thread may need
 */
export function lookersFor(elements: number, job: Job): number {
  if (job.memoryBytes !== undefined && job.memoryBytes < EACH) throw tooLittle(job.memoryBytes)
  const budget = job.memoryBytes ?? freemem() / 2
  const cores = job.workers ?? Math.min(availableParallelism(), MOST_THREADS)
  return Math.max(1, Math.min(cores, elements, Math.floor(budget / EACH)))
}

function tooLittle(allowed: number): Problem {
  return new Problem({
    code: 'suit.too-little-memory',
    what: 'Looking at an element may take more memory than it is allowed',
    where: '--memory',
    expected: `at least ${EACH / 2 ** 20}M`,
    received: allowed < 2 ** 20 ? `${allowed} bytes` : `${Math.floor(allowed / 2 ** 20)}M`,
    remedy: 'Allow more, or leave --memory out.',
  })
}

export interface Lookers {
  /** @throws Problem of the media room when it cannot be read */
  readonly look: (found: Found) => Promise<ElementLook>
  readonly threads: number
  readonly close: () => Promise<void>
}

/** What was seen of an element does not depend on the plate: with a cache it is kept for the next one. */
export function openLookers(threads: number, { signal, cache }: Pick<Job, 'signal' | 'cache'>): Lookers {
  const lookers = newLookers(threads, signal)
  if (cache === undefined) return lookers
  const look = async (found: Found) => {
    const { path, single } = found
    const of = [await contentOf(path, single, cache)]
    return cached(cache, { kind: 'look', of, how: { single } }, () => lookers.look(found))
  }
  return { ...lookers, look }
}

function newLookers(threads: number, signal: AbortSignal | undefined): Lookers {
  if (threads === 1)
    return {
      look: (found) => lookAtElement(found, signal === undefined ? {} : { signal }),
      threads,
      close: async () => {},
    }
  const pool = new Pool<Found, ElementLook>('suit/worker.js', threads)
  const look = async (found: Found) => (await pool.submit(found)).done
  return { look, threads, close: () => pool.end() }
}
