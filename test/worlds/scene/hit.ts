/** What a ray met: distance in z, radiance before the air, and the reflectance for light that effects will throw. */
export interface Hit {
  t: number
  r: number
  g: number
  b: number
  /** 0 sky, 1 sea, 2 solid, 3 the near wall, 4 the quay's ground. */
  kind: number
  /** Reflectance of the near wall or the ground, luminance-like with a tint. */
  rho: number
}

export function newHit(): Hit {
  return { t: Number.POSITIVE_INFINITY, r: 0, g: 0, b: 0, kind: 0, rho: 0 }
}

export const SKY = 0
export const SEA = 1
export const SOLID = 2
export const WALL = 3
export const GROUND = 4
