/**
 * How upright things lean on a track's reference frame, where the rows of the plate are read one after the other.
 *
 *   y′ = f + (y − f) / (1 − v_y·τ)      x′ = x + v_x·τ·(y′ − f)
 *
 *   f  row at whose time its place is said    v  how the track goes on the reference frame, px a frame    τ  frames from row to row
 *
 * A motion that was followed with its shear goes from the picture of the reference frame to that of another, and holds how both lean. What was
 * never read row by row must first lean as that picture does. Source: [liang2008]; its speed taken as even over the rows of the element.
 */
import { at, type Matrix3, type Place, shift } from '../motion/matrix.js'
import { between } from './between.js'
import type { Track } from './track.js'

/** For an element with its middle there, px of the reference frame. */
export type Lean = (middle: Place) => Matrix3

/** @param framesARow frames by which a row is later than the one above @param from the row f, px */
export function leanOf(track: Track, reference: number, framesARow: number, from: number): Lean {
  const [before, after] = [-0.5, 0.5].map((t) => between(track, reference + t).matrix) as [Matrix3, Matrix3]
  return ([x, y]) => {
    const [a, b] = [at(before, x, y), at(after, x, y)]
    const long = 1 / (1 - (b[1] - a[1]) * framesARow)
    const lean = (b[0] - a[0]) * framesARow * long
    return [1, lean, -lean * from, 0, long, from * (1 - long), 0, 0, 1]
  }
}

/** Of that no more than where it comes to lie: for an element that takes no shear. */
export function leantPlace(lean: Lean): Lean {
  return (middle) => {
    const [x, y] = at(lean(middle), ...middle)
    return shift(x - middle[0], y - middle[1])
  }
}
