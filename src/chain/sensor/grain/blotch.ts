/**
 * Correlation of the coarse part of grain along an axis, as the kernel makes it (`kernels/grain/coarse.ts`).
 *
 *   ρ(m) = exp(−¾ m² / D²)      D  size, px: 0.47 there      m  distance, px
 */
import { exp } from '../../../core/index.js'

export function blotchLag(distance: number, size: number): number {
  return exp((-0.75 * distance * distance) / (size * size))
}
