/** Timing of several things in one run, turn by turn, so that a noisy machine is noisy for all of them. */

/** One line of the benchmarks. */
export interface Row {
  readonly name: string
  readonly size: string
  readonly ours_ms: number
  readonly other: string
  readonly other_ms: number
  /** For kernels and threads how many times faster ours is; for renders how many times longer ours takes. */
  readonly ratio: number
  /** The same of processor time, all threads taken together. */
  readonly cpu_ratio: number
}

export interface Timed {
  readonly wall: number
  /** Of all threads. */
  readonly cpu: number
}

/** Starts a watch; what it gives stops it. Times in ms. */
export function watch(): () => Timed {
  const before = process.cpuUsage()
  const start = performance.now()
  return () => {
    const wall = performance.now() - start
    const { user, system } = process.cpuUsage(before)
    return { wall, cpu: (user + system) / 1000 }
  }
}

/** `rounds` turns of each of `works`, one after the other; the first turn warms up and does not count. */
export async function turns(
  works: readonly (() => Promise<unknown>)[],
  rounds: number,
  afterwards: () => Promise<unknown> = async () => {},
): Promise<Timed[][]> {
  const times: Timed[][] = works.map(() => [])
  for (let i = 0; i <= rounds; i++) {
    for (const [k, work] of works.entries()) {
      const stop = watch()
      await work()
      const time = stop()
      if (i > 0) times[k]?.push(time)
    }
    await afterwards()
  }
  return times
}

/** How many times faster ours is than something else, in `rounds` turns after one that warms up. */
export function faster(
  name: string,
  size: string,
  ours: () => void,
  other: string,
  theirs: () => void,
  rounds: number,
): Row {
  const [a, b]: [Timed[], Timed[]] = [[], []]
  for (let i = 0; i <= rounds; i++) {
    for (const [work, times] of [
      [ours, a],
      [theirs, b],
    ] as const) {
      const stop = watch()
      work()
      if (i > 0) times.push(stop())
    }
  }
  return { name, size, ...compared(a, other, b, (mine, its) => its / mine) }
}

/** The figures of a row: medians; `ratio` is taken turn by turn, `frames` divides the times. */
export function compared(
  ours: readonly Timed[],
  other: string,
  theirs: readonly Timed[],
  ratio: (ours: number, theirs: number) => number,
  frames = 1,
): Omit<Row, 'name' | 'size'> {
  const ratios = (kind: keyof Timed) =>
    middleOf(ours.map((t, i) => ratio(t[kind], (theirs[i] as Timed)[kind])))
  return {
    ours_ms: round(middleOf(ours.map((t) => t.wall / frames))),
    other,
    other_ms: round(middleOf(theirs.map((t) => t.wall / frames))),
    ratio: round(ratios('wall')),
    cpu_ratio: round(ratios('cpu')),
  }
}

function middleOf(values: readonly number[]): number {
  return values.toSorted((x, y) => x - y)[values.length >> 1] as number
}

export function round(v: number): number {
  return Number(v.toPrecision(4))
}
