/**
 * Nobody answers the light: a surface beside an emitter should have risen and did not.
 *
 *   rise = log2(mean rendered / mean plate)  where no element covers the surface and the prediction is at least half of its most
 *
 * Speaks when the rise that inverse square predicts is at least 0.2 stop and less than half of it is there.
 */
import type { Region } from '../../../core/index.js'
import { type Comparison, quiet, type Seen, stops, telling } from '../../compare.js'
import { castRise, type Emission, type Surface, surfaceReach, surfaceShare } from './model.js'

const LEAST_RISE = 0.2

export interface CastLook {
  readonly frame: number
  /** Stops, mean of the channels. */
  readonly predicted: number
  readonly rose: number
  readonly region: Region
}

export function lookAtCast(
  seen: Seen,
  surface: Surface,
  emission: Emission,
  metresPerPixel: number,
): CastLook | undefined {
  const { width, height } = seen.plate.region
  const reach = surfaceReach(surface)
  const { peak, falloff } = castRise(surface, emission, metresPerPixel, 1)
  const lit: { p: number; at: number }[] = []
  let most = 0
  for (let y = Math.max(reach.y, 0); y < Math.min(reach.y + reach.height, height); y++) {
    for (let x = Math.max(reach.x, 0); x < Math.min(reach.x + reach.width, width); x++) {
      const w = surfaceShare(surface, x, y)
      const p = y * width + x
      if (w < 0.5 || (seen.keep[p] as number) < 0.98) continue
      const at = w * falloff(x, y)
      most = Math.max(most, at)
      lit.push({ p, at })
    }
  }
  let before = 0
  let after = 0
  let should = 0
  const near = lit.filter(({ at }) => at >= most / 2)
  for (const { p, at } of near) {
    for (let c = 0; c < 3; c++) {
      const own = seen.plate.data[4 * p + c] as number
      before += own
      after += seen.rendered.data[4 * p + c] as number
      should += own * (1 + at * (peak[c] as number))
    }
  }
  if (near.length < 64 || before <= 0) return undefined
  return {
    frame: seen.frame,
    predicted: Math.log2(should / before),
    rose: Math.log2(Math.max(after, 1e-9) / before),
    region: reach,
  }
}

export function compareCast(name: string, looks: readonly (CastLook | undefined)[]): Comparison {
  const known = looks.filter((l) => l !== undefined && l.predicted >= LEAST_RISE) as CastLook[]
  const worst = [...known].sort((a, b) => b.predicted - b.rose - (a.predicted - a.rose))[0]
  if (worst === undefined) return quiet()
  const measured = { rise: [worst.rose] }
  if (worst.rose >= worst.predicted / 2) return quiet(measured)
  return telling(
    {
      tell: 'unanswered-light',
      link: 'light',
      frames: known.filter((l) => l.rose < l.predicted / 2).map((l) => l.frame),
      region: worst.region,
      unit: 'stops',
      measured: worst.rose,
      expected: worst.predicted,
      limit: worst.predicted / 2,
      confidence: 0.6,
      sentence: `The surface beside ${name} should rise by ${stops(worst.predicted)}; it rose by ${worst.rose.toFixed(1)}.`,
      cause: 'The emitter shines and nothing near it answers.',
      remedy: 'Fit again with the surface under `lights`, or light the set with a lamp on the day.',
      contrast: worst.predicted / Math.max(worst.rose, worst.predicted / 8),
    },
    measured,
  )
}
