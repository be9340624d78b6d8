/**
 * How long the shutter is open: as an angle of the whole turn that a frame takes.
 *
 *   t = θ / (360 · fps)      L = v · θ / 360
 *
 *   t  time open  s    θ  shutter angle  °, 0 to 360    L  length of the streak, px    v  motion, px a frame
 *
 * Source: common practice (a film camera's turning shutter).
 */

/** What is assumed where nothing is said or measured: half the time between two frames. Common practice. */
export const ASSUMED_ANGLE = 180

/** Seconds that the shutter is open. */
export function openSeconds(angleDeg: number, fps: number): number {
  return angleDeg / (360 * fps)
}

/** Length of a streak, px. */
export function streakLength(pxAFrame: number, angleDeg: number): number {
  return (pxAFrame * angleDeg) / 360
}
