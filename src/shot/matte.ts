import type { Shot, ShotElement } from './schema.js'
import type { Holdout } from './shapeSchema.js'

/** The file of a holdout's matte as a record of its own; undefined where it has none. */
export function matteOf(holdout: Holdout | undefined): (Holdout & { file: string }) | undefined {
  return holdout?.file === undefined ? undefined : { ...holdout, file: holdout.file }
}

/** The site's depth map, where an element is hidden by it or a blur follows it; undefined where none is and none does. */
export function depthOf({
  plate,
  elements,
  site,
}: Pick<Shot, 'plate' | 'site' | 'elements'>): Shot['site']['depth'] {
  const asked = elements.some((e) => e.holdout?.depth === true || followsDepth(e))
  return asked || plate.blur?.depth !== undefined ? site.depth : undefined
}

/** Whether the element's blur follows the depth map. */
export function followsDepth({ treatments }: Pick<ShotElement, 'treatments'>): boolean {
  const t = treatments['lens.depthBlur']
  return t !== undefined && 'value' in t && t.value[0] !== 0
}
