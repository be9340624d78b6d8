/**
 * How far the ground may count as flat. The sea's visible horizon lies below the level, the ground falls away, and the air bends
 * light; all three by one length, the earth's radius over the navigators' refraction factor.
 *
 *   R′ = 6371.1 km / 0.8321      dip = √(2H / R′)      horizon at √(2 H R′)      ground at D, below the level: H / D + D / (2R′)
 *
 * Flat ground under the visible horizon takes D for D′ = D / (1 − q)², q = D / horizon; that is undone in closed form.
 * H eye height m, D distance along the ground m. For everyday air; a mirage does as it likes.
 *
 * Source: [bowditch2002] (table of the dip short of the horizon).
 * @example H = 1.6 m: horizon at 4950 m; flat ground is 5 % too far from 119 m on
 */
const RADIUS_M = 6_371_100 / 0.8321

/** Dip of the sea's horizon below the level, radians. */
export function dipRad(eyeM: number): number {
  return Math.sqrt((2 * eyeM) / RADIUS_M)
}

/** Distance of the sea's horizon, m. */
export function horizonM(eyeM: number): number {
  return Math.sqrt(2 * eyeM * RADIUS_M)
}

/** The true distance of what flat ground under the visible horizon puts at `flatM`. */
export function roundDistance(flatM: number, eyeM: number): number {
  const far = horizonM(eyeM)
  const half = 1 + far / flatM / 2
  // The smaller root of (1 − q)² = q · far / flat, in the form that loses no digits when it is small.
  return far / (half + Math.sqrt(half * half - 1))
}

/** Distance from which on flat ground is a share off. */
export function flatUntil(eyeM: number, share: number): number {
  return horizonM(eyeM) * (1 - 1 / Math.sqrt(1 + share))
}
