/**
 * NaN and infinity in float samples, counted a channel over every frame that is decoded, as the file holds them: before anything
 * else replaces them (`chain/source/finite.ts`). One is enough to be a fault: a filter spreads it over all that it reaches.
 * What they are: [ieee754-2019].
 */
import type { NativeFrame } from '../../core/index.js'
import type { Finding } from './finding.js'
import { listed } from './runs.js'

const NAMES = ['R', 'G', 'B', 'A']

/** Collects counts frame by frame; whole numbers are passed over. */
export class FiniteMeter {
  private readonly nan: number[] = []
  private readonly infinite: number[] = []
  private readonly frames: number[] = []

  add(frame: number, { planes, layout }: NativeFrame): void {
    if (!layout.float) return
    let any = false
    planes.forEach(({ data }, p) => {
      let [nan, infinite] = [0, 0]
      for (let i = 0; i < data.length; i++) {
        const v = data[i] as number
        // Only what is not finite is not 0 less itself.
        if (v - v === 0) continue
        if (Number.isNaN(v)) nan++
        else infinite++
      }
      this.nan[p] = (this.nan[p] ?? 0) + nan
      this.infinite[p] = (this.infinite[p] ?? 0) + infinite
      any ||= nan + infinite > 0
    })
    if (any) this.frames.push(frame)
  }

  /** @param looked every frame that was added */
  finding(looked: readonly number[]): Finding {
    const { nan, infinite, frames } = this
    const base = {
      code: 'diagnose.finite',
      method: 'every sample of the frames looked at',
      numbers: { nan, infinite, framesWithAny: frames.length },
    }
    if (frames.length === 0)
      return {
        ...base,
        verdict: 'fine',
        sentence: 'Every sample is a number: no NaN, no infinity.',
        confidence: 0.95,
        frames: looked,
      }
    const kinds = [words('NaN', nan), words('infinity', infinite)].filter((w) => w !== '').join(' and ')
    return {
      ...base,
      verdict: 'fault',
      sentence: `${frames.length === 1 ? 'Frame' : 'Frames'} ${listed(frames)} ${frames.length === 1 ? 'holds' : 'hold'} samples that are no numbers: ${kinds}.`,
      confidence: 0.95,
      frames,
      remedy:
        'Find the step that made them (a division by 0, a logarithm of 0) and export again; here NaN takes the mean of its neighbours and infinity the largest half float, 65504.',
    }
  }
}

/** `NaN in R (2), A (1)`; empty where there is none. */
function words(what: string, counts: readonly number[]): string {
  const some = counts.flatMap((n, p) => (n > 0 ? [{ n, name: NAMES[p] ?? `channel ${p}` }] : []))
  return some.length === 0 ? '' : `${what} in ${some.map((s) => `${s.name} (${s.n})`).join(', ')}`
}
