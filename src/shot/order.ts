import type { ShotElement } from './schema.js'

/**
 * Elements in the order in which they are laid over the plate: far first. Those without a distance are nearest, in the
 * document's order; equal distances keep the document's order.
 */
export function byDistance(elements: readonly ShotElement[]): ShotElement[] {
  const at = (e: ShotElement) => e.distanceM ?? 0
  return [...elements].sort((a, b) => at(b) - at(a))
}
