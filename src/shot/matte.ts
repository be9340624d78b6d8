import type { Shot } from './schema.js'
import type { Holdout } from './shapeSchema.js'

/** The file of a holdout's matte as a record of its own; undefined where it has none. */
export function matteOf(holdout: Holdout | undefined): (Holdout & { file: string }) | undefined {
  return holdout?.file === undefined ? undefined : { ...holdout, file: holdout.file }
}

/** The site's depth map, where an element is hidden by it; undefined where none is. */
export function depthOf(shot: Pick<Shot, 'site' | 'elements'>): Shot['site']['depth'] {
  return shot.elements.some((e) => e.holdout?.depth === true) ? shot.site.depth : undefined
}
