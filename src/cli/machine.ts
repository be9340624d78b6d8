/** Options of long work: what it may take of the machine. */
import type { Command } from 'commander'
import type { Job } from '../engine/types.js'
import { count, memory } from './values.js'

export interface Machine {
  readonly workers?: number
  readonly memory?: number
}

export function machine(c: Command): Command {
  return c
    .option('--workers <n>', 'threads for pixel work; does not change the result', count('--workers'))
    .option('--memory <amount>', 'what frames in flight may take: 512M, 2G', memory)
}

export function jobOf(job: Job, o: Machine): Job {
  return {
    ...job,
    ...(o.workers === undefined ? {} : { workers: o.workers }),
    ...(o.memory === undefined ? {} : { memoryBytes: o.memory }),
  }
}
