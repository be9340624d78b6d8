/**
 * The camera by brute force: every sample has its own point in the pixel and its own point on the lens, and goes
 * through the plane of focus. A thin lens: x′ = f·x/z about the shifted axis.
 */
import { bits } from './chance.js'
import type { Setting } from './setting.js'

export interface Ray {
  ox: number
  oy: number
  oz: number
  dx: number
  dy: number
  /** Always 1: distances along rays are distances in z. */
  dz: number
}

export function newRay(): Ray {
  return { ox: 0, oy: 0, oz: 0, dx: 0, dy: 0, dz: 1 }
}

/** Ray of stratum `k` of `n` × `n` in pixel (px, py); higher k go through the strata again with other chances. */
export function lensRay(s: Setting, px: number, py: number, k: number, n: number, ray: Ray): void {
  // Sixteen bits for each of the four numbers.
  const a = bits(s.seed, px, py, 2 * k)
  const b = bits(s.seed, px, py, 2 * k + 1)
  const u = (px + ((k % n) + (a & 65535) / 65536) / n - s.width / 2) / s.focalPx
  const v = (s.horizonY - (py + ((Math.floor(k / n) % n) + (a >>> 16) / 65536) / n)) / s.focalPx
  const radius = (s.focalMm / s.fNumber / 2000) * Math.sqrt((b & 65535) / 65536)
  const angle = (2 * Math.PI * (b >>> 16)) / 65536
  ray.ox = radius * Math.cos(angle)
  ray.oy = s.eyeM + radius * Math.sin(angle)
  ray.oz = 0
  ray.dx = u - ray.ox / s.focusM
  ray.dy = v - (ray.oy - s.eyeM) / s.focusM
  ray.dz = 1
}

/** Pixel of a point. */
export function project(s: Setting, x: number, y: number, z: number): [number, number] {
  return [s.width / 2 + (s.focalPx * x) / z, s.horizonY - (s.focalPx * (y - s.eyeM)) / z]
}

/** Radius in pixels of the disc that a point at `d` metres becomes, for a lens focused at focusM (both from the lens). */
export function discRadius(s: Setting, d: number): number {
  const aperture = s.focalMm / s.fNumber / 1000
  return (0.5 * aperture * s.focalPx * Math.abs(d - s.focusM)) / (d * s.focusM)
}

/** Koschmieder's transmittance over `d` metres. */
export function transmittance(s: Setting, d: number): number {
  return Math.exp(-s.beta * d)
}
