/**
 * Gaussian blur of any size: on the picture itself while it is small, on a picture of a quarter, a sixteenth … of the
 * pixels where it is large (`plan.ts`). Cost hardly grows with σ.
 *
 *   v(x) = Σ g(x − i)·v(i)    g(d) = e^(−d²/(2σ²)) / Σ
 *
 * Within 1.1e-4 of the peak of an exact one. Outside the source all is transparent black, so light that spreads over a
 * border is lost only where `region` ends; over `gaussianReach` around the source the sum stays. NaN and infinity count
 * as 0, so they never spread. The grids of the small pictures are anchored at the frame's origin: any region equals the
 * same part of the whole. Single precision.
 *
 * Source: [unser1999] for cubic B-splines; that a gaussian of a few pixels may be taken on a smaller picture: [burt1983].
 */
import { type FloatImage, isEmpty, type Region } from '../../core/index.js'
import { at, newImage, rawImage } from '../wasm/images.js'
import { duringScratch } from '../wasm/memory.js'
import { gaussianGrids, gaussianPlan } from './plan.js'
import { enlarge, filterAcross, filterDown, shrink } from './rows.js'

/** Pixels around a pixel that can reach it. */
export function gaussianReach(sigma: number): number {
  return sigma > 0 ? gaussianPlan(sigma).reach : 0
}

/** The blurred picture over `region` of the frame; `sigma` in pixels, 0 or more. */
export function gaussianBlur(src: FloatImage, sigma: number, region: Region): FloatImage {
  const plan = gaussianPlan(Math.max(sigma, 1e-3))
  const grids = gaussianGrids(plan, src.region, region)
  if (isEmpty(region) || grids.known.some(isEmpty)) return newImage(region)
  const out = rawImage(region)
  at(src.data, false, (from) => {
    at(out.data, true, (to) =>
      duringScratch(() => {
        const small = shrink(from, src.region, grids)
        const rows = filterAcross(small, plan, grids)
        if (plan.levels === 0) filterDown(rows, plan, grids.filtered, to)
        else enlarge(rows, plan, grids.filtered, region, to)
      }),
    )
  })
  return out
}
