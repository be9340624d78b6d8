/** Timing of two things in one run, turn by turn, so that a noisy machine is noisy for both. */

/** One line of the benchmarks. */
export interface Row {
  readonly name: string
  readonly size: string
  readonly ours_ms: number
  readonly other: string
  readonly other_ms: number
  /** For kernels how many times faster ours is; for renders how many times longer ours takes. */
  readonly ratio: number
}

export interface Timed {
  readonly wall: number
  /** Of all threads. */
  readonly cpu: number
}

/** Wall and processor time of some work, in ms. */
export async function timed(work: () => Promise<void>): Promise<Timed> {
  const before = process.cpuUsage()
  const start = performance.now()
  await work()
  const wall = performance.now() - start
  const { user, system } = process.cpuUsage(before)
  return { wall, cpu: (user + system) / 1000 }
}

/** Medians of `rounds` turns; the first turn of each warms up and does not count. */
export function interleaved(
  name: string,
  size: string,
  ours: () => void,
  other: string,
  twin: () => void,
  rounds: number,
): Row {
  const [a, b]: [number[], number[]] = [[], []]
  for (let i = 0; i <= rounds; i++) {
    const start = performance.now()
    ours()
    const middle = performance.now()
    twin()
    if (i === 0) continue
    a.push(middle - start)
    b.push(performance.now() - middle)
  }
  const [fast, slow] = [middleOf(a), middleOf(b)]
  return { name, size, ours_ms: round(fast), other, other_ms: round(slow), ratio: round(slow / fast) }
}

export function middleOf(values: readonly number[]): number {
  return values.toSorted((x, y) => x - y)[values.length >> 1] as number
}

export function round(v: number): number {
  return Number(v.toPrecision(4))
}
