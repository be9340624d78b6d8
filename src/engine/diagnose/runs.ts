/** Steps between successive frames, in unbroken runs, and what is usual about them. */
import { median } from '../../core/index.js'
import type { Step } from './motion.js'

export type Moved = Step & { readonly one: number }

/** Runs of steps whose change from the frame before is known. */
export function runsOf(steps: readonly Step[]): Moved[][] {
  const runs: Moved[][] = []
  for (const s of steps) {
    if (s.one === undefined) {
      runs.push([])
      continue
    }
    runs.at(-1)?.push(s as Moved)
  }
  return runs.filter((r) => r.length > 0)
}

/** Median change around step `i`, itself left out: what is usual there. */
export function usual(
  run: readonly Moved[],
  i: number,
  reach = 5,
  skip: (s: Moved) => boolean = () => false,
): number {
  const near = run.filter((s, k) => k !== i && Math.abs(k - i) <= reach && !skip(s))
  return near.length === 0 ? 0 : median(near.map((s) => s.one))
}

/** Least change that is motion and not noise or rounding. */
export const STILL = 3e-4

/** Runs of ascending numbers as `3, 8, 13–15`, at most `most` of them. */
export function listed(frames: readonly number[], most = 8): string {
  const parts: string[] = []
  for (let i = 0; i < frames.length; ) {
    let j = i
    while (j + 1 < frames.length && frames[j + 1] === (frames[j] as number) + 1) j++
    parts.push(j === i ? `${frames[i]}` : `${frames[i]}–${frames[j]}`)
    i = j + 1
  }
  return parts.length > most ? `${parts.slice(0, most).join(', ')} …` : parts.join(', ')
}
