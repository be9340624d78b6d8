/**
 * A camera that only turns, as angles. Axes: right, down, ahead.
 *
 *   C = R_down(pan)·R_right(tilt)·R_ahead(roll)       from the camera's axes to those of the set
 *   H = K_f·C_fᵀ·C_r·K_r⁻¹                            from the reference frame r to frame f        K = [F 0 x; 0 F y; 0 0 1]
 *
 *   pan   degrees, to the right     tilt  degrees, up     roll  degrees, clockwise as seen from behind the camera
 *   F     focal length, plate px: focal length in mm · plate width in px / sensor width in mm       (x, y)  middle of the lens, px
 *
 * Source: [hartley2004 §8.4.2]; the order of the angles is that of a tripod's head (common practice).
 */
import { multiply3 } from '../../../../colour/index.js'
import { inverse, type Matrix3, normalised, type Place } from '../matrix.js'

export interface Angles {
  readonly pan: number
  readonly tilt: number
  readonly roll: number
  readonly focalPx: number
}

const DEGREE = Math.PI / 180

/** The motion from the reference frame to another one. */
export function motionOfAngles(reference: Angles, frame: Angles, middle: Place): Matrix3 {
  const turn = multiply3(transposed(axesOf(frame)), axesOf(reference))
  return normalised(
    multiply3(
      multiply3(lensMatrix(frame.focalPx, middle), turn),
      inverse(lensMatrix(reference.focalPx, middle)),
    ),
  )
}

/** Angles of a frame against the reference frame, of a motion that is a camera's turn with one focal length; tilt from −90 to 90. */
export function anglesOfMotion(m: Matrix3, focalPx: number, middle: Place): Angles {
  const k = lensMatrix(focalPx, middle)
  const turn = multiply3(multiply3(inverse(k), m), k)
  const size = Math.cbrt(determinant(turn))
  const c = transposed(turn).map((v) => v / size) as unknown as Matrix3
  return {
    pan: Math.atan2(c[2], c[8]) / DEGREE,
    tilt: -Math.asin(Math.min(1, Math.max(-1, c[5]))) / DEGREE,
    roll: Math.atan2(c[3], c[4]) / DEGREE,
    focalPx,
  }
}

function lensMatrix(f: number, [x, y]: Place): Matrix3 {
  return [f, 0, x, 0, f, y, 0, 0, 1]
}

function axesOf({ pan, tilt, roll }: Angles): Matrix3 {
  const [cp, sp] = [Math.cos(pan * DEGREE), Math.sin(pan * DEGREE)]
  const [ct, st] = [Math.cos(tilt * DEGREE), Math.sin(tilt * DEGREE)]
  const [cr, sr] = [Math.cos(roll * DEGREE), Math.sin(roll * DEGREE)]
  const down: Matrix3 = [cp, 0, sp, 0, 1, 0, -sp, 0, cp]
  const right: Matrix3 = [1, 0, 0, 0, ct, -st, 0, st, ct]
  const ahead: Matrix3 = [cr, -sr, 0, sr, cr, 0, 0, 0, 1]
  return multiply3(down, multiply3(right, ahead))
}

function transposed(m: Matrix3): Matrix3 {
  return [m[0], m[3], m[6], m[1], m[4], m[7], m[2], m[5], m[8]]
}

function determinant(m: Matrix3): number {
  return (
    m[0] * (m[4] * m[8] - m[5] * m[7]) -
    m[1] * (m[3] * m[8] - m[5] * m[6]) +
    m[2] * (m[3] * m[7] - m[4] * m[6])
  )
}
