import type { Spot } from '../../engine/places.js'

/** As a drawing takes them. */
export function pointsOf(spots: readonly Spot[]): string {
  return spots.map(([x, y]) => `${x},${y}`).join(' ')
}
