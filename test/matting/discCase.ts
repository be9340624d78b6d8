/** One case of the disc: its film keyed frame by frame, and with an eye to the frames beside. */
import { join } from 'node:path'
import { keyFile } from '../../src/engine/key/key.js'
import { alphasOf, framesOf } from './case.js'
import { DISC, type DiscFilm, discBlur, discChatter, filmDisc } from './disc.js'

export interface DiscRow {
  readonly case: string
  /** Blur of its edges along its way over the true one, mean of both and of the frames. */
  readonly blur: number
  readonly aloneBlur: number
  /** Mean error of its coverage where the true one is partly covered. */
  readonly off: number
  readonly aloneOff: number
  /** Energy (`discChatter`). */
  readonly chatter: number
  readonly aloneChatter: number
  /** Degrees; its own is 180. */
  readonly shutter: number | undefined
}

/** Px a frame. */
export const SPEEDS = [0, 4, 12, 24, 60]

export async function discRow(folder: string, speed: number): Promise<DiscRow> {
  const f: DiscFilm = { ...DISC, step: [speed, 0], width: 384, height: 160, from: [80, 76], frames: 4 }
  const clip = join(folder, `disc-${speed}.mov`)
  const truth = await filmDisc(clip, f)
  const keyed = async (alone: boolean) => {
    const out = join(folder, `disc-${speed}-${alone}`, 'disc.####.exr')
    const { streaks } = await keyFile(clip, { out, spill: 1, alone })
    const alphas = alphasOf(await framesOf(out))
    const blurs = alphas.map((a, n) => {
      const [made, right] = [discBlur(f, n, a), discBlur(f, n, truth[n].alpha)]
      return (made.ahead + made.behind) / (right.ahead + right.behind)
    })
    return {
      blur: round(meanOf(blurs)),
      off: round(meanOf(alphas.map((a, n) => offAt(a, truth[n].alpha)))),
      chatter: round(discChatter(f, truth, alphas)),
      shutter: streaks?.shutter,
    }
  }
  const [alone, both] = [await keyed(true), await keyed(false)]
  const { blur: aloneBlur, off: aloneOff, chatter: aloneChatter } = alone
  return { case: `disc-${speed}`, ...both, aloneBlur, aloneOff, aloneChatter }
}

function offAt(alpha: Float32Array, truth: Float32Array): number {
  let [sum, n] = [0, 0]
  for (let p = 0; p < truth.length; p++) {
    if (truth[p] <= 0 || truth[p] >= 1) continue
    sum += Math.abs(alpha[p] - truth[p])
    n++
  }
  return sum / Math.max(n, 1)
}

function meanOf(values: readonly number[]): number {
  return values.reduce((a, b) => a + b, 0) / values.length
}

function round(v: number): number {
  return Number(v.toPrecision(4))
}
