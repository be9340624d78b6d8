import type { Holdout } from './shapeSchema.js'

/** The file of a holdout's matte as a record of its own; undefined where it has none. */
export function matteOf(holdout: Holdout | undefined): (Holdout & { file: string }) | undefined {
  return holdout?.file === undefined ? undefined : { ...holdout, file: holdout.file }
}
