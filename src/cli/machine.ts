/** Options of long work: what it may take of the machine, and where it keeps what it need not do twice. */
import type { Command } from 'commander'
import { type CacheOptions, openCache } from '../engine/cache/index.js'
import type { Job } from '../engine/types.js'
import type { Outcome } from './outcome.js'
import { amount, count } from './values.js'

export interface Machine {
  readonly workers?: number
  readonly memory?: number
}

/** As commander gives them: `--no-cache` is `cache: false`. */
export interface Kept {
  readonly cache?: string | false
  readonly cacheSize?: number
}

export function machine(c: Command): Command {
  return c
    .option('--workers <n>', 'threads for pixel work; does not change the result', count('--workers'))
    .option('--memory <amount>', 'what frames in flight may take: 512M, 2G', amount('--memory'))
}

/** For work that looks at some frames again and again. */
export function kept(c: Command): Command {
  return cachePlace(c).option('--no-cache', 'decode and measure everything anew, and keep nothing')
}

export function cachePlace(c: Command): Command {
  return c
    .option('--cache <folder>', 'where decoded frames and readings are kept; default: PLATEFIT_CACHE')
    .option('--cache-size <amount>', 'what they may take: 500M, 8G', amount('--cache-size'))
}

export function jobOf(job: Job, o: Machine): Job {
  return {
    ...job,
    ...(o.workers === undefined ? {} : { workers: o.workers }),
    ...(o.memory === undefined ? {} : { memoryBytes: o.memory }),
  }
}

/** Runs `work` with a cache, and leaves that in order however it ends. A cache that cannot be written is worth a note, no more. */
export async function withCache(job: Job, o: Kept, work: (job: Job) => Promise<Outcome>): Promise<Outcome> {
  if (o.cache === false) return work(job)
  const cache = openCache(cacheOptions(o))
  try {
    const outcome = await work({ ...job, cache })
    await cache.settle()
    return cache.finding === undefined ? outcome : { ...outcome, notes: [cache.finding] }
  } finally {
    await cache.settle()
  }
}

export function cacheOptions({ cache, cacheSize }: Kept): CacheOptions {
  const said = process.env.PLATEFIT_CACHE_SIZE ?? ''
  const bytes = cacheSize ?? (said === '' ? undefined : amount('PLATEFIT_CACHE_SIZE')(said))
  return {
    ...(typeof cache === 'string' ? { folder: cache } : {}),
    ...(bytes === undefined ? {} : { bytes }),
  }
}
