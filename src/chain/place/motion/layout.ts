/**
 * What the places of the points can show at all. With σ₁ ≥ σ₂ the standard deviations of the places along their main axes, and s the
 * median spread of what is seen:
 *
 *   one point, or σ₁ < 3s                    where it is                    translation
 *   two points, or σ₂ < max(0.02·σ₁, 3s)     size and turn as well          similarity (or a camera's turn)
 *   three points                             what slants as well            affine
 *   four points and more                     all                            homography
 *
 * The three limits are ours: within three spreads a place cannot be told from its neighbour, and a line 50 times as long as wide
 * lets errors across it through 50 times as large.
 */
import type { Model } from './fit/models.js'
import type { Place } from './matrix.js'

export interface Layout {
  readonly freest: Model['name']
  /** Why nothing freer; undefined where nothing is in the way. */
  readonly because?: string
}

const THIN = 0.02
const SPREADS = 3

export function layoutOf(places: readonly Place[], spreadPx: number): Layout {
  const [long, wide] = mainAxes(places)
  if (places.length === 1) return { freest: 'translation', because: 'one point shows a place alone' }
  if (long < SPREADS * spreadPx) {
    return {
      freest: 'translation',
      because: 'the points lie too close together for their size and turn to show',
    }
  }
  if (places.length === 2)
    return { freest: 'similarity', because: 'two points show place, size and turn alone' }
  if (wide < Math.max(THIN * long, SPREADS * spreadPx)) {
    return {
      freest: 'similarity',
      because: 'the points lie on a line, which shows place, size and turn alone',
    }
  }
  if (places.length === 3) return { freest: 'affine', because: 'three points do not show perspective' }
  return { freest: 'homography' }
}

/** Standard deviations along and across, px. */
function mainAxes(places: readonly Place[]): [number, number] {
  const n = places.length
  const [mx, my] = [0, 1].map((c) => places.reduce((sum, p) => sum + (p[c] as number), 0) / n) as [
    number,
    number,
  ]
  let [xx, xy, yy] = [0, 0, 0]
  for (const [x, y] of places) {
    xx += (x - mx) ** 2 / n
    xy += ((x - mx) * (y - my)) / n
    yy += (y - my) ** 2 / n
  }
  const [middle, half] = [(xx + yy) / 2, Math.sqrt(((xx - yy) / 2) ** 2 + xy * xy)]
  return [Math.sqrt(middle + half), Math.sqrt(Math.max(middle - half, 0))]
}
