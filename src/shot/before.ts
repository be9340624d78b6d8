import type { Shot, ShotElement } from './schema.js'

/** Whether a shape hides anything on a frame of the shot. */
export function hidesOn({ frames }: Shot['shapes'][number], frame: number): boolean {
  return frames === undefined || (frame >= frames.first && frame < frames.first + frames.count)
}

/**
 * Shapes that stand before an element: those that its holdout names, and those that are nearer than it is. An element without a
 * distance is nearest: no shape is before it by distance alone.
 */
export function shapesBefore(shot: Pick<Shot, 'shapes'>, e: ShotElement): Shot['shapes'] {
  return shot.shapes.filter(
    (s) =>
      e.holdout?.shapes?.includes(s.id) ||
      (s.distanceM !== undefined && e.distanceM !== undefined && s.distanceM < e.distanceM),
  )
}
