/**
 * How far off a motion is where it matters, against one that is freer. Freedom costs: the points' noise goes through every number
 * that is fitted, and between points that lie in clusters or near a line it grows far beyond what it is at the points. At a place x,
 * along one axis:
 *
 *   E(x) = s²·V(x) + D²(x) where D² > 9·s²·(V_freer − V), which is what noise alone lets them differ by, three times over
 *
 *   V  variance of where x is carried, if the points' spreads are right      s²  how much larger than their spreads the errors are
 *   D  how far the two carry x apart
 *
 * The difference of two nested fits by least squares has the variance V_freer − V where the stiffer motion is true; what goes beyond is
 * its bias. The mean over the places is taken. Source: [claeskens2003] (the model is chosen for the quantity that is asked for); the
 * three spreads are ours.
 */
import { at, type Place } from '../matrix.js'
import type { Fit } from './fit.js'

const SPREADS2 = 9

/** Mean square of what a motion is off by at the places, along an axis, px². */
export function expectedSquare(fit: Fit, freer: Fit, s2: number, places: readonly Place[]): number {
  let [variance, bias] = [0, 0]
  for (const [x, y] of places) {
    const [v, free] = [s2 * fit.varianceAt(x, y), s2 * freer.varianceAt(x, y)]
    const [a, b] = [at(fit.matrix, x, y), at(freer.matrix, x, y)]
    const apart = ((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2) / 2
    variance += v
    if (apart > SPREADS2 * Math.max(free - v, 0)) bias += apart
  }
  return (variance + bias) / places.length
}

/** Three by three places over the box that holds these. */
export function spreadOver(places: readonly Place[]): Place[] {
  const [xs, ys] = [places.map((p) => p[0]), places.map((p) => p[1])]
  const thirds = (v: readonly number[]) => {
    const [low, high] = [Math.min(...v), Math.max(...v)]
    return [low, (low + high) / 2, high]
  }
  return thirds(xs).flatMap((x) => thirds(ys).map((y): Place => [x, y]))
}
