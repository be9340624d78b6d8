/**
 * Which frames to look at: all of a short clip; of a long one three runs of successive frames, spread from its head to its end, so
 * that both what changes from frame to frame and what changes over the clip is seen. The budget counts pixels: a large picture
 * costs more. Where only some frames decode by themselves, a run starts at one of those.
 */
import type { SourceInfo } from '../../media/index.js'

/** Pixels that may be decoded for a look by sampling: 72 frames of 1920×1080. */
const BUDGET = 72 * 1920 * 1080
const RUNS = 3
const [LEAST, MOST] = [24, 160]
/** Pixels that may be decoded in vain to get where no entry is near. */
const LEAD = 100 * 1920 * 1080
/** Memory that frames kept whole may take, bytes; and how many are plenty. */
const KEPT = 300e6
/** Small pictures have less in each. */
const [FEW, STILLS, SMALL] = [3, 5, 1.2e6]

export interface Picks {
  readonly runs: readonly Run[]
  /** Frames kept whole, with the one after each where it is read too. */
  readonly stills: ReadonlySet<number>
}

interface Run {
  readonly first: number
  readonly count: number
}

/** @param reach frames to decode for a frame, itself included */
export function picksOf(info: SourceInfo, all: boolean, reach: (frame: number) => number = () => 1): Picks {
  const n = info.frameCount
  const pixels = info.width * info.height
  const budget = Math.min(MOST, Math.max(LEAST, Math.floor(BUDGET / pixels)))
  const runs =
    all || n <= budget ? [{ first: 0, count: n }] : spread(n, Math.floor(budget / RUNS), pixels, reach)
  const bytes = pixels * 4 * (info.layout.float ? 4 : info.layout.bits > 8 ? 2 : 1)
  const many = Math.max(2, Math.min(pixels > SMALL ? FEW : STILLS, Math.floor(KEPT / bytes / 2)))
  const read = runs.flatMap((r) => Array.from({ length: r.count }, (_, i) => r.first + i))
  const stills = new Set<number>()
  // The middles of equal parts: heads and ends are often empty.
  for (let k = 0; k < many; k++) stills.add(read[Math.floor(((k + 0.5) / many) * read.length)] as number)
  return { runs, stills }
}

/** Starts of runs over the whole clip; runs that meet become one. */
function spread(n: number, each: number, pixels: number, reach: (frame: number) => number): Run[] {
  const runs: Run[] = []
  for (let k = 0; k < RUNS; k++) {
    const wanted = Math.round(((n - each) * k) / (RUNS - 1))
    const entry = wanted + 1 - reach(wanted)
    const far = (wanted - entry) * 6 > n
    const start = far && (wanted - entry) * pixels < LEAD ? wanted : entry
    const last = runs.at(-1)
    const end = last === undefined ? 0 : last.first + last.count
    const count = Math.min(each, n - Math.max(start, end))
    if (last === undefined || start > end) runs.push({ first: start, count })
    else runs.splice(-1, 1, { first: last.first, count: last.count + count })
  }
  return runs
}
