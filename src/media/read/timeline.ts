/**
 * From timestamps to a constant rate. The rate is a usual one when it fits without repeating or dropping a frame and
 * never strays more than a quarter frame; else the file's own exact rate when that fits; else (truly variable) the
 * usual rate nearest to the commonest step. Output frame j shows the source frame whose time is nearest to j / rate.
 *
 * Timestamps are rounded to the file's clock, so a step that wavers by a tick is still constant.
 */
import type { Rate } from '../types.js'

/** Common practice: cinema, television and camera rates. */
const usual: readonly Rate[] = [
  ...[24, 25, 30, 48, 50, 60, 100, 120, 240, 12, 15, 10, 8, 20].map((num) => ({ num, den: 1 })),
  ...[24000, 30000, 48000, 60000, 120000, 15000].map((num) => ({ num, den: 1001 })),
  { num: 25, den: 2 },
]

export interface Timeline {
  readonly rate: Rate
  /** Source frame (in order of time) that each conformed frame shows. */
  readonly map: Uint32Array
  readonly repeated: readonly number[]
  readonly dropped: readonly number[]
  /** How the rate was found, for its evidence. */
  readonly why: string
}

/**
 * @param times ascending, in seconds, one a source frame
 * @param lastStep seconds that the last frame stands
 * @param declared the container's own rates, best first
 */
export function conform(times: readonly number[], lastStep: number, declared: readonly Rate[]): Timeline {
  const steps = times.slice(1).map((t, i) => t - (times[i] as number))
  const commonest = steps.length === 0 ? lastStep : middle(steps)
  const stray = (r: Rate) => {
    const t0 = times[0] as number
    const offset = middle(times.map((t, i) => t - t0 - (i * r.den) / r.num))
    const far = times.reduce((m, t, i) => Math.max(m, Math.abs(t - t0 - offset - (i * r.den) / r.num)), 0)
    return far * (r.num / r.den)
  }
  const near = usual.filter((r) => Math.abs((commonest * r.num) / r.den - 1) < 0.02)
  const best = (rates: readonly Rate[]) =>
    rates.map((rate) => ({ rate, stray: stray(rate) })).sort((a, b) => a.stray - b.stray)[0]
  const identity = Uint32Array.from(times, (_, i) => i)
  const constant = { map: identity, repeated: [], dropped: [] }
  const nearest = best(near)
  if (nearest !== undefined && nearest.stray <= 0.25) {
    return {
      ...constant,
      rate: nearest.rate,
      why: `every frame within ${nearest.stray.toFixed(3)} frame of this usual rate`,
    }
  }
  const exact = best(declared.filter((r) => r.num > 0 && r.den > 0 && r.num / r.den < 1000))
  if (exact !== undefined && exact.stray <= 0.25) {
    return {
      ...constant,
      rate: exact.rate,
      why: `the container's own rate; every frame within ${exact.stray.toFixed(3)} frame`,
    }
  }
  const rate = pickVariable(commonest)
  return {
    rate,
    ...mapNearest(times, lastStep, rate),
    why: 'timestamps vary; usual rate nearest to the commonest step',
  }
}

/** With a rate given from outside, every source frame counts once: the file's own times are what it replaces. */
export function retime(count: number, rate: Rate): Timeline {
  return {
    rate,
    map: Uint32Array.from({ length: count }, (_, i) => i),
    repeated: [],
    dropped: [],
    why: 'set',
  }
}

function pickVariable(step: number): Rate {
  const off = (r: Rate) => Math.abs(Math.log((step * r.num) / r.den))
  const found = [...usual].sort((a, b) => off(a) - off(b))[0] as Rate
  return off(found) < 0.03 ? found : { num: Math.max(1, Math.round(1000 / step)), den: 1000 }
}

function mapNearest(times: readonly number[], lastStep: number, rate: Rate) {
  const t0 = times[0] as number
  const length = (times[times.length - 1] as number) + lastStep - t0
  const count = Math.max(1, Math.round((length * rate.num) / rate.den))
  const map = new Uint32Array(count)
  const repeated: number[] = []
  const shown = new Uint8Array(times.length)
  let at = 0
  for (let j = 0; j < count; j++) {
    const t = t0 + (j * rate.den) / rate.num
    while (at + 1 < times.length && (times[at + 1] as number) - t < t - (times[at] as number)) at++
    map[j] = at
    if (shown[at] === 1) repeated.push(j)
    shown[at] = 1
  }
  const dropped: number[] = []
  for (let i = 0; i < shown.length; i++) if (shown[i] === 0) dropped.push(i)
  return { map, repeated, dropped }
}

function middle(values: readonly number[]): number {
  const s = Float64Array.from(values).sort()
  return s[s.length >> 1] ?? 0
}
